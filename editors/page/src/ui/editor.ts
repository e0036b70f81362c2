// The text: CodeMirror with its language client, coloured by the core's own tokens, with figures beside it.
import { acceptCompletion, completionStatus } from "@codemirror/autocomplete";
import { setDiagnostics } from "@codemirror/lint";
import { LSPPlugin, formatDocument, formatKeymap, hoverTooltips, jumpToDefinitionKeymap, serverCompletion, type LSPClient } from "@codemirror/lsp-client";
import { EditorState, RangeSetBuilder, StateEffect, StateField, type Extension, type Range } from "@codemirror/state";
import { Decoration, EditorView, ViewPlugin, WidgetType, keymap, type DecorationSet, type ViewUpdate } from "@codemirror/view";
import { basicSetup } from "codemirror";
import { languageOf, uriOf } from "./workspace";

export interface Position {
  line: number;
  character: number;
}
export interface LspRange {
  start: Position;
  end: Position;
}
export interface Finding {
  range: LspRange;
  severity: 1 | 2 | 3 | 4;
  code?: string;
  message: string;
  relatedInformation?: { message: string; location: { uri: string; range: LspRange } }[];
}

const LEVELS = ["error", "error", "warning", "info", "hint"] as const;

/** Figures and colours follow the text after this pause; findings follow at once. */
const CALM = 120;

class Figure extends WidgetType {
  constructor(
    private words: string,
    private why: string,
  ) {
    super();
  }

  override eq(other: Figure) {
    return other.words === this.words;
  }

  toDOM() {
    const figure = document.createElement("span");
    figure.className = "figure";
    figure.textContent = this.words;
    figure.title = this.why;
    return figure;
  }
}

const setColours = StateEffect.define<DecorationSet>();
const setFigures = StateEffect.define<DecorationSet>();

function kept(effect: typeof setColours): Extension {
  return StateField.define<DecorationSet>({
    create: () => Decoration.none,
    update: (value, transaction) => {
      let now = value.map(transaction.changes);
      for (const one of transaction.effects) if (one.is(effect)) now = one.value;
      return now;
    },
    provide: (field) => EditorView.decorations.from(field),
  });
}

interface Hint {
  position: Position;
  label: string | { value: string }[];
  tooltip?: string | { value: string };
}

/** Asks for colours and figures when the text has come to rest. */
function beside(client: LSPClient, onLens: (words: string) => void) {
  return ViewPlugin.fromClass(
    class {
      private timer: ReturnType<typeof setTimeout> | undefined;

      constructor(private view: EditorView) {
        this.timer = setTimeout(() => void this.ask(), 0);
      }

      update(update: ViewUpdate) {
        if (!update.docChanged) return;
        clearTimeout(this.timer);
        this.timer = setTimeout(() => void this.ask(), CALM);
      }

      destroy() {
        clearTimeout(this.timer);
      }

      async ask() {
        const { view } = this;
        const plugin = LSPPlugin.get(view);
        if (!plugin) return;
        try {
          await client.initializing;
          client.sync();
          const doc = view.state.doc;
          const textDocument = { uri: plugin.uri };
          const range = { start: { line: 0, character: 0 }, end: { line: doc.lines, character: 0 } };
          const [tokens, hints, lenses] = await Promise.all([
            client.request<unknown, { data: number[] } | null>("textDocument/semanticTokens/full", { textDocument }),
            client.request<unknown, Hint[] | null>("textDocument/inlayHint", { textDocument, range }),
            client.request<unknown, { command?: { title: string } }[] | null>("textDocument/codeLens", { textDocument }),
          ]);
          if (view.state.doc !== doc) return;
          onLens(lenses?.[0]?.command?.title ?? "");
          view.dispatch({
            effects: [setColours.of(coloured(client, plugin, tokens?.data ?? [])), setFigures.of(withFigures(plugin, hints ?? []))],
          });
        } catch {
          // The core is being started again, and the text is asked about then.
        }
      }
    },
  );
}

function coloured(client: LSPClient, plugin: LSPPlugin, data: number[]): DecorationSet {
  const legend = client.serverCapabilities?.semanticTokensProvider?.legend;
  const builder = new RangeSetBuilder<Decoration>();
  const length = plugin.view.state.doc.length;
  for (let i = 0, line = 0, character = 0; legend && i + 4 < data.length; i += 5) {
    line += data[i]!;
    character = data[i]! > 0 ? data[i + 1]! : character + data[i + 1]!;
    const from = plugin.fromPosition({ line, character });
    const to = Math.min(from + data[i + 2]!, length);
    const marks = legend.tokenModifiers.filter((_, bit) => (data[i + 4]! >> bit) & 1).map((name) => ` is-${name}`);
    builder.add(from, to, Decoration.mark({ class: `of-${legend.tokenTypes[data[i + 3]!]}${marks.join("")}` }));
  }
  return builder.finish();
}

function withFigures(plugin: LSPPlugin, hints: Hint[]): DecorationSet {
  const words = (label: Hint["label"]) => (typeof label === "string" ? label : label.map((part) => part.value).join(""));
  const why = (tooltip: Hint["tooltip"]) => (typeof tooltip === "string" ? tooltip : (tooltip?.value ?? ""));
  const figures: Range<Decoration>[] = hints.map((hint) => {
    const widget = new Figure(words(hint.label).trim(), why(hint.tooltip));
    return Decoration.widget({ widget, side: 1 }).range(plugin.fromPosition(hint.position));
  });
  return Decoration.set(figures, true);
}

/** Findings reach the screen with the key that led to them: the text is sent at once. */
const sendAtOnce = (client: LSPClient) =>
  EditorView.updateListener.of((update) => {
    if (update.docChanged && client.connected) client.sync();
  });

/** Tab takes what the list offers, and does nothing while the list is on its way; else it leaves the text, as the keyboard needs. */
const acceptOrWait = (view: EditorView) => acceptCompletion(view) || completionStatus(view.state) === "pending";

export function openEditor(options: {
  client: LSPClient;
  path: string;
  text: string;
  parent: HTMLElement;
  onChange: (text: string) => void;
  onLens: (words: string) => void;
}): EditorView {
  const { client, path } = options;
  return new EditorView({
    parent: options.parent,
    state: EditorState.create({
      doc: options.text,
      extensions: [
        basicSetup,
        keymap.of([{ key: "Tab", run: acceptOrWait }, ...formatKeymap, ...jumpToDefinitionKeymap]),
        EditorView.contentAttributes.of({ "aria-label": `Text of ${path}`, spellcheck: "false", autocapitalize: "off", autocorrect: "off", tabindex: "0" }),
        EditorView.lineWrapping,
        serverCompletion(),
        hoverTooltips(),
        client.plugin(uriOf(path), languageOf(path)),
        sendAtOnce(client),
        kept(setColours),
        kept(setFigures),
        beside(client, options.onLens),
        EditorView.updateListener.of((update) => {
          if (update.docChanged) options.onChange(update.state.doc.toString());
        }),
      ],
    }),
  });
}

export const format = (view: EditorView) => formatDocument(view);

export function underline(view: EditorView, findings: Finding[]) {
  const plugin = LSPPlugin.get(view);
  if (!plugin) return;
  const at = (position: Position) => plugin.unsyncedChanges.mapPos(plugin.fromPosition(position, plugin.syncedDoc));
  const marks = findings.map((finding) => ({
    from: at(finding.range.start),
    to: at(finding.range.end),
    severity: LEVELS[finding.severity] ?? "info",
    message: finding.message,
  }));
  view.dispatch(setDiagnostics(view.state, marks));
}

/** Puts the caret on a place and shows it. */
export function goTo(view: EditorView, { start, end }: LspRange) {
  const plugin = LSPPlugin.get(view);
  if (!plugin) return;
  const [anchor, head] = [plugin.fromPosition(start), plugin.fromPosition(end)];
  view.dispatch({ selection: { anchor, head }, effects: EditorView.scrollIntoView(anchor, { y: "center" }) });
  view.focus();
}

/** Makes the text another one, in the fewest letters, so that the caret stays where it is. */
export function replaceText(view: EditorView, text: string) {
  const now = view.state.doc.toString();
  if (now === text) return;
  let from = 0;
  while (from < now.length && from < text.length && now[from] === text[from]) from++;
  let end = 0;
  while (end < now.length - from && end < text.length - from && now[now.length - 1 - end] === text[text.length - 1 - end]) end++;
  view.dispatch({ changes: { from, to: now.length - end, insert: text.slice(from, text.length - end) } });
}
