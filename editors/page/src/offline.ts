// The service worker: after the first visit the page works without a network. It keeps the page's own files and nothing else.
declare const FILES: string[];
declare const VERSION: string;

interface Waiting extends Event {
  waitUntil(what: Promise<unknown>): void;
}
interface Fetching extends Event {
  request: Request;
  respondWith(answer: Promise<Response>): void;
}
const worker = self as unknown as EventTarget & { location: Location; clients: { claim(): Promise<void> }; skipWaiting(): Promise<void> };
const PREFIX = "phasewright-";
const CACHE = `${PREFIX}${VERSION}`;

worker.addEventListener("install", (event) => {
  const keep = async () => {
    const cache = await caches.open(CACHE);
    await cache.addAll(FILES.map((file) => new Request(new URL(file, worker.location.href), { cache: "reload" })));
  };
  (event as Waiting).waitUntil(keep().then(() => worker.skipWaiting()));
});

worker.addEventListener("activate", (event) => {
  const tidy = async () => {
    const old = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== CACHE);
    await Promise.all(old.map((name) => caches.delete(name)));
    await worker.clients.claim();
  };
  (event as Waiting).waitUntil(tidy());
});

worker.addEventListener("fetch", (event) => {
  const { request } = event as Fetching;
  if (request.method !== "GET" || new URL(request.url).origin !== worker.location.origin) return;
  const answer = async () => (await (await caches.open(CACHE)).match(request, { ignoreSearch: true })) ?? fetch(request);
  (event as Fetching).respondWith(answer());
});
