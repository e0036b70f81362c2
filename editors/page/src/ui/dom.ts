// Elements from plain values. Text is always set as text, so that a hostile name stays one.

type Child = Node | string | null | undefined | false;
type Props = Record<string, unknown>;

export function el<K extends keyof HTMLElementTagNameMap>(tag: K, props: Props = {}, ...children: Child[]): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value as EventListener);
    else if (name === "class") made.className = String(value);
    else made.setAttribute(name, value === true ? "" : String(value));
  }
  made.append(...children.filter((child): child is Node | string => child !== null && child !== undefined && child !== false));
  return made;
}

export function button(words: string, onclick: () => void, props: Props = {}): HTMLButtonElement {
  return el("button", { type: "button", ...props, onclick }, words);
}

export function byId<T extends HTMLElement = HTMLElement>(id: string): T {
  return document.getElementById(id) as T;
}

/** A labelled field. */
export function field(words: string, input: HTMLElement): HTMLLabelElement {
  return el("label", { class: "field" }, el("span", {}, words), input);
}

/** Hands a file to the browser's downloads. */
export function download(name: string, bytes: BlobPart, type: string) {
  const address = URL.createObjectURL(new Blob([bytes], { type }));
  const link = el("a", { href: address, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** One call after the last of many. */
export function later<A extends unknown[]>(wait: number, work: (...args: A) => void): { (...args: A): void; now(): void } {
  let timer: ReturnType<typeof setTimeout> | undefined;
  let last: A | undefined;
  const go = () => {
    clearTimeout(timer);
    timer = undefined;
    if (last) {
      const args = last;
      last = undefined;
      work(...args);
    }
  };
  const called = (...args: A) => {
    last = args;
    clearTimeout(timer);
    timer = setTimeout(go, wait);
  };
  called.now = go;
  return called;
}
