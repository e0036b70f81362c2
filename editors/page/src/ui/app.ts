// The page: files, the open text, what is said of it. It wires the parts to each other and to the core.
import { LSPClient } from "@codemirror/lsp-client";
import type { EditorView } from "@codemirror/view";
import { Core } from "../core/core";
import { ChangedElsewhere, isShown, type Home } from "../homes/home";
import { folderHome } from "../homes/handles";
import { Journal, liveWindow } from "../homes/journal";
import { BenchView, type BenchState } from "./bench";
import { showConflict } from "./conflict";
import { button, byId, later } from "./dom";
import { byFile, fixesOf, withEdits, type CodeAction } from "./edits";
import { format, goTo, openEditor, replaceText, underline, type Finding } from "./editor";
import { FilesPanel } from "./files-panel";
import { FindingsList } from "./findings";
import { sanitized } from "./markdown";
import { Materials } from "./materials";
import { PAPERS, PaperView, type Subject } from "./papers";
import { exportAll, isExportDue, placesPanel } from "./places";
import { say, showPane } from "./frame";
import { Session } from "./session";
import { FIRST, fileFor, named, type Starter } from "./starters";
import { Tabs } from "./tabs";
import { Walk } from "./walk";
import { PageWorkspace, pathOf, uriOf } from "./workspace";

const LAST_OPEN = "phasewright-last-open";

/** What the language server is told of the page beyond what its client says. */
const CAPABILITIES = {
  clientCapabilities: {
    textDocument: {
      publishDiagnostics: { relatedInformation: true, versionSupport: true },
      codeAction: { isPreferredSupport: true, codeActionLiteralSupport: { codeActionKind: { valueSet: ["quickfix", "refactor", "source"] } } },
      inlayHint: { dynamicRegistration: false },
      semanticTokens: { requests: { full: true }, tokenTypes: [], tokenModifiers: [], formats: ["relative"] },
      codeLens: {},
    },
  },
};

export class App {
  readonly client: LSPClient;
  private files = new Map<string, string>();
  private session: Session | undefined;
  view: EditorView | undefined;
  private journal!: Journal;
  private isGone: (window: string) => boolean = () => false;
  private stopWatching = () => {};
  private closeConflict: (() => void) | undefined;
  /** The text of each file as this window has opened it: a comparison begins there. */
  private opened = new Map<string, { text: string; at: string }>();
  private panel: FilesPanel;
  private list: FindingsList;
  private materials: Materials;
  private papers = new Map(PAPERS.map((kind) => [kind.id, undefined as PaperView | undefined]));
  private bench: BenchView | undefined;
  readonly walk = new Walk(byId("walk"));
  private tabs: Tabs;

  constructor(
    readonly core: Core,
    private home: Home,
    private browser: Home | undefined,
  ) {
    this.client = new LSPClient({
      rootUri: "file:///",
      timeout: 20_000,
      sanitizeHTML: sanitized,
      workspace: (client) => new PageWorkspace(client, (uri) => this.display(uri)),
      notificationHandlers: { "textDocument/publishDiagnostics": (_, said) => this.published(said as { uri: string; diagnostics: Finding[] }) },
      extensions: [CAPABILITIES],
    });
    this.panel = new FilesPanel(byId("files"), { open: (path) => void this.open(path), begin: (starter, name) => void this.begin(starter, name) });
    this.list = new FindingsList({
      goTo: (finding) => this.goTo(finding),
      fixes: (findings) => fixesOf(this.client, uriOf(this.path), findings),
      mend: (action, finding) => void this.mend(action, finding),
      explain: (code) => this.explain(code),
    });
    this.materials = new Materials(core, (name, percent) => this.putIn(name, percent));
    this.tabs = new Tabs(byId("tabs"), byId("panel"), (id) => this.shown(id));
    core.onRestart = () => {
      this.client.disconnect();
      this.client.connect(core.transport);
    };
    core.onFailure = (what) => say(`The checker fails on this text and is switched off (${what}). Your text is kept.`, "failure");
    document.addEventListener("visibilitychange", () => document.visibilityState === "hidden" && void this.session?.flush());
    window.addEventListener("pagehide", () => void this.session?.flush());
    window.addEventListener("beforeunload", (event) => {
      // Only where the text is in this window and nowhere else is there something to ask about.
      if (this.session?.kept.state === "nowhere") event.preventDefault();
    });
  }

  private get path() {
    return this.session?.path ?? "";
  }

  async start() {
    const live = await liveWindow();
    this.isGone = live.isGone;
    this.journal = new Journal(`${this.home.kind}/${this.home.name}`, live.name);
    byId("home-name").textContent = this.home.name;
    this.files = await this.home.list();
    const restored = await this.restore();
    // Nothing is written into a maker's own folder unasked.
    const isFirst = this.home.kind === "browser" && this.files.size === 0 && Walk.isFirstVisit();
    if (isFirst) await this.create("my-first-cream.formula", FIRST.text);
    this.core.start(this.files);
    this.client.connect(this.core.transport);
    this.stopWatching = this.home.watch(() => void this.lookAgain());
    this.panel.show(this.files, undefined);
    const last = restored ?? localStorage.getItem(LAST_OPEN) ?? "";
    const first = this.files.has(last) ? last : [...this.files.keys()].sort().find((path) => path.endsWith(".formula"));
    if (first !== undefined) await this.open(first);
    if (isFirst) this.walk.begin();
    if (isExportDue(this.home, this.files.size)) {
      say("These files live in this browser only, and were not exported for long.", "export", button("Export all as a zip", () => this.export()));
    }
  }

  private export() {
    exportAll(this.files);
    say("", "export");
  }

  /** Puts back what windows that are gone had typed and not written. Gives the path of the last one. */
  private async restore(): Promise<string | undefined> {
    let last: string | undefined;
    for (const { key, entry } of this.journal.left(this.isGone)) {
      const now = await this.home.read(entry.path);
      if (now !== entry.text) {
        try {
          await this.home.write(entry.path, entry.text, entry.before);
          this.files.set(entry.path, entry.text);
          say(`${entry.path}: what was typed and not yet written when the page closed is back.`, "restored");
        } catch (error) {
          if (!(error instanceof ChangedElsewhere)) continue;
          // The file has moved on: what was typed stands beside it, and the maker decides.
          this.files.set(entry.path, now ?? "");
          this.left.set(entry.path, entry.text);
        }
        last = entry.path;
      }
      Journal.drop(key);
      if (this.left.has(entry.path)) this.journal.keep(entry.path, entry.text, entry.before);
    }
    return last;
  }

  /** Typed texts of windows that are gone, where the file says something else by now. */
  private left = new Map<string, string>();

  async open(path: string) {
    await this.session?.flush();
    if (this.session?.kept.state === "conflict") return showPane("text");
    const text = (await this.home.read(path)) ?? this.files.get(path) ?? "";
    this.session?.close();
    this.view?.destroy();
    this.bench?.close();
    this.bench = undefined;
    this.session = new Session(this.home, this.journal, path, text, this.files.has(path) ? text : null, (session) => this.keptChanged(session));
    if (!this.opened.has(path)) this.opened.set(path, { text, at: new Date().toTimeString().slice(0, 5) });
    this.files.set(path, text);
    this.core.write(path, text);
    localStorage.setItem(LAST_OPEN, path);
    byId("file-name").textContent = path;
    document.title = `${path} – Phasewright`;
    this.view = openEditor({
      client: this.client,
      path,
      text,
      parent: byId("editor"),
      onChange: (now) => this.typed(now),
      onLens: (words) => (byId("figures").textContent = words),
    });
    byId("bench").hidden = true;
    this.tools(path);
    this.panel.show(this.files, path);
    this.tabs.offer(this.tabsFor(path));
    showPane("text");
    if (path.endsWith(".batch")) this.openBench();
    const typed = this.left.get(path);
    if (typed !== undefined) {
      this.left.delete(path);
      replaceText(this.view, typed);
      this.session.typed(typed);
      this.session.saved = null;
      await this.session.look();
    }
  }

  private tools(path: string) {
    const view = () => this.view;
    byId("text-tools").replaceChildren(
      ...[
        path.endsWith(".formula") && button("Begin a batch", () => void this.beginBatch(), { id: "begin-batch" }),
        path.endsWith(".batch") && button("Bench", () => this.openBench(), { id: "open-bench" }),
        button("Tidy up", () => view() && format(view()!)),
      ].filter((tool): tool is HTMLButtonElement => tool !== false),
    );
  }

  private tabsFor(path: string) {
    const papers = path.endsWith(".formula") ? PAPERS : [];
    return [{ id: "findings", title: "Check" }, ...papers, { id: "materials", title: "Materials" }];
  }

  private shown(id: string): HTMLElement {
    if (id === "materials") return this.materials.root;
    const kind = PAPERS.find((paper) => paper.id === id);
    if (!kind) return this.list.root;
    const view = this.papers.get(id) ?? new PaperView(this.core, kind);
    if (!this.papers.get(id)) view.root.addEventListener("input", () => id === "sheet" && this.walk.did("scaled"));
    this.papers.set(id, view);
    view.show(this.subject());
    return view.root;
  }

  private subject(): Subject {
    const before = this.opened.get(this.path) ?? { text: "", at: "" };
    return {
      path: this.path,
      text: this.session?.text ?? "",
      before: { words: `this formula as it was at ${before.at}`, text: before.text },
      others: [...this.files.keys()].filter((path) => path.endsWith(".formula") && path !== this.path),
    };
  }

  private typed(text: string) {
    const { session } = this;
    if (!session) return;
    session.typed(text);
    this.files.set(session.path, text);
    this.core.write(session.path, text);
    this.follow();
  }

  /** The papers follow the text when it has come to rest. */
  private follow = later(300, () => {
    const view = this.papers.get(this.tabs.current);
    if (view && this.path.endsWith(".formula")) view.show(this.subject());
    if (this.bench) void this.showBench();
  });

  private published({ uri, diagnostics }: { uri: string; diagnostics: Finding[] }) {
    if (this.view && uri === uriOf(this.path)) {
      underline(this.view, diagnostics);
      performance.mark("phasewright-findings");
      this.showList(diagnostics);
    }
    return true;
  }

  /** The list comes a moment after the underlines: its fixes are asked for one by one. */
  private showList = later(60, (findings: Finding[]) => {
    this.list.show(findings);
    byId("says-count").textContent = findings.length > 0 ? `(${findings.length})` : "";
  });

  private goTo(finding: Finding) {
    if (!this.view) return;
    showPane("text");
    goTo(this.view, finding.range);
    this.walk.did("went");
  }

  private async mend(action: CodeAction, _: Finding) {
    await this.apply(action);
    this.walk.did("mended");
  }

  private async apply(action: CodeAction) {
    if (!action.edit) return;
    for (const [path, edits] of byFile(action.edit)) {
      if (path === this.path && this.view) {
        replaceText(this.view, withEdits(this.view.state.doc.toString(), edits));
        continue;
      }
      const before = this.files.get(path) ?? null;
      await this.put(path, withEdits(before ?? "", edits), before);
    }
  }

  private async explain(code: string): Promise<string> {
    const ran = await this.core.run(["explain", code, "--json"]);
    return ran.status === 0 ? (JSON.parse(ran.out) as { markdown: string }).markdown : ran.err;
  }

  private putIn(name: string, percent: string) {
    const { view } = this;
    if (!view) return;
    const line = view.state.doc.lineAt(view.state.selection.main.head);
    const row = `  ${name.padEnd(39)}  ${percent}`.trimEnd();
    const isEmpty = line.text.trim() === "";
    const insert = isEmpty ? row : `\n${row}`;
    view.dispatch({ changes: { from: isEmpty ? line.from : line.to, to: line.to, insert }, selection: { anchor: (isEmpty ? line.from : line.to) + insert.length } });
    showPane("text");
    view.focus();
  }

  private async begin(starter: Starter, name: string) {
    const path = fileFor(name, (taken) => this.files.has(taken));
    await this.create(path, named(starter.text, name));
    await this.open(path);
  }

  private async create(path: string, text: string) {
    await this.put(path, text, null);
  }

  async put(path: string, text: string, before: string | null) {
    try {
      await this.home.write(path, text, before);
    } catch (error) {
      say(`${path} could not be written: ${error instanceof Error ? error.message : error}`, "write");
      return;
    }
    this.files.set(path, text);
    this.core.write(path, text);
    this.changedOnDisk([path]);
    this.panel.show(this.files, this.path);
  }

  private async beginBatch() {
    await this.session?.flush();
    const sheet = this.papers.get("sheet")?.root.querySelector<HTMLInputElement>("input")?.value.trim();
    const ran = await this.core.run(["batch", "new", this.path, ...(sheet ? ["--make", sheet] : [])]);
    const written = ran.written.filter(({ path }) => isShown(path));
    if (written.length === 0) return say(`No batch yet. ${ran.err.replace(/^phasewright: /, "")}`, "batch");
    for (const { path, text } of written) await this.put(path, text, null);
    this.walk.did("began");
    await this.open(written[0]!.path);
  }

  private openBench() {
    const root = byId("bench");
    root.hidden = false;
    this.bench ??= new BenchView(root, this.core, {
      path: this.path,
      replace: (range, text) => this.view && replaceText(this.view, withEdits(this.view.state.doc.toString(), [{ range, newText: text }])),
      addLog: (after, line) => this.addLog(after, line),
    });
    void this.showBench();
  }

  private async showBench() {
    const { bench, view } = this;
    if (!bench || !view) return;
    await this.client.initializing;
    this.client.sync();
    const state = await this.client.request<unknown, BenchState | null>("phasewright/bench", { textDocument: { uri: uriOf(this.path) } });
    if (state && bench === this.bench) bench.show(state, view.state.doc.toString());
  }

  private addLog(after: number | null, line: string) {
    const { view } = this;
    if (!view) return;
    const { doc } = view.state;
    const at = after === null ? doc.length : doc.line(Math.min(after + 1, doc.lines)).to;
    const before = after === null ? `${doc.length > 0 && doc.line(doc.lines).text !== "" ? "\n" : ""}\nlog` : "";
    view.dispatch({ changes: { from: at, insert: `${before}\n${line}` } });
  }

  private async display(uri: string): Promise<EditorView | null> {
    const path = pathOf(uri);
    if (path === null || !this.files.has(path)) return null;
    if (path !== this.path) await this.open(path);
    return this.view ?? null;
  }

  /** Another window or program may have changed something. */
  private async lookAgain() {
    const shown = await this.session?.look();
    if (shown !== null && shown !== undefined && this.view) {
      replaceText(this.view, shown);
      say(`${this.path} was changed elsewhere; this is its text now.`, "elsewhere");
    }
    const now = await this.home.list();
    const changed = [...new Set([...now.keys(), ...this.files.keys()])].filter((path) => path !== this.path && now.get(path) !== this.files.get(path));
    for (const path of changed) {
      const text = now.get(path);
      if (text === undefined) {
        this.files.delete(path);
        this.core.remove(path);
      } else {
        this.files.set(path, text);
        this.core.write(path, text);
      }
    }
    if (changed.length > 0) {
      this.changedOnDisk(changed);
      this.panel.show(this.files, this.path);
    }
  }

  private changedOnDisk(paths: string[]) {
    if (!this.client.connected) return;
    const changes = paths.map((path) => ({ uri: uriOf(path), type: 2 }));
    void this.client.initializing.then(() => this.client.notification("workspace/didChangeWatchedFiles", { changes }));
  }

  private keptChanged(session: Session) {
    if (session !== this.session) return;
    const { kept } = session;
    const words = {
      kept: "Kept",
      typing: "Keeping …",
      journal: "Kept in the journal, not in its file yet",
      nowhere: "Not kept: in this window only",
      conflict: "Two texts: choose one",
    }[kept.state];
    const place = byId("kept");
    if (place.textContent !== words) place.textContent = words;
    place.dataset.state = kept.state;
    if (kept.state === "journal" || kept.state === "nowhere") {
      const what = kept.state === "journal" ? "Your text is in this browser's journal and comes back after a crash." : "Export it now, before this window closes.";
      say(`${session.path} could not be written: ${kept.why}. ${what}`, "write", button("Export all as a zip", () => this.export()));
    } else {
      say("", "write");
    }
    if (kept.state === "conflict") this.conflict(session, kept.theirs);
  }

  private conflict(session: Session, theirs: string | null) {
    if (this.closeConflict) return;
    const end = () => {
      this.closeConflict = undefined;
      byId("editor").hidden = false;
    };
    byId("editor").hidden = true;
    showPane("text");
    const close = showConflict(byId("conflict"), session.path, session.text, theirs, (choice) => {
      end();
      if (choice.take === "mine") {
        if (this.view) replaceText(this.view, choice.text);
        return void session.settle(choice.text, theirs);
      }
      const mine = session.text;
      void session.settle(theirs ?? "", theirs);
      if (this.view) replaceText(this.view, theirs ?? "");
      if (choice.take === "both") {
        const [, stem, ending] = /^(.*?)(\.[a-z]+)$/.exec(session.path) ?? [null, session.path, ""];
        let n = 1;
        while (this.files.has(`${stem}-mine-${n}${ending}`)) n++;
        void this.put(`${stem}-mine-${n}${ending}`, mine, null);
      }
    });
    this.closeConflict = close;
  }

  showPlaces() {
    this.tabs.showOther(
      placesPanel({
        home: () => this.home,
        files: () => this.files,
        takeIn: (files, leftOut) => void this.takeIn(files, leftOut),
        openFolder: () => void this.moveTo(folderHome),
        backToBrowser: () => void this.moveTo(async () => this.browser ?? null),
      }),
    );
    showPane("says");
  }

  private async takeIn(files: Map<string, string>, leftOut: string[]) {
    const kept: string[] = [];
    for (const [path, text] of files) {
      if (!isShown(path)) leftOut.push(path);
      else if (this.files.has(path) && this.files.get(path) !== text) kept.push(path);
      else await this.put(path, text, this.files.get(path) ?? null);
    }
    const words = [`${files.size - kept.length} files are in.`];
    if (kept.length > 0) words.push(`There already, and left as they are: ${kept.join(", ")}.`);
    if (leftOut.length > 0) words.push(`Not files of this page: ${leftOut.slice(0, 5).join(", ")}${leftOut.length > 5 ? " …" : ""}.`);
    say(words.join(" "), "import");
  }

  private async moveTo(find: () => Promise<Home | null>) {
    await this.session?.flush();
    const home = await find();
    if (!home) return;
    this.stopWatching();
    this.session?.close();
    this.session = undefined;
    this.view?.destroy();
    this.view = undefined;
    this.files.forEach((_, path) => this.core.remove(path));
    this.home = home;
    const live = await liveWindow();
    this.journal = new Journal(`${home.kind}/${home.name}`, live.name);
    this.files = await home.list();
    this.files.forEach((text, path) => this.core.write(path, text));
    this.opened.clear();
    byId("home-name").textContent = home.name;
    this.stopWatching = home.watch(() => void this.lookAgain());
    this.panel.show(this.files, undefined);
    const first = [...this.files.keys()].sort()[0];
    if (first !== undefined) await this.open(first);
  }
}
