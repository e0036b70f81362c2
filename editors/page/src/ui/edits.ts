// Changes that the server proposes, put into the texts.
import type { LSPClient } from "@codemirror/lsp-client";
import { pathOf } from "./workspace";
import type { Finding, LspRange } from "./editor";

export interface TextEdit {
  range: LspRange;
  newText: string;
}

export interface WorkspaceEdit {
  changes?: Record<string, TextEdit[]>;
  documentChanges?: ({ textDocument: { uri: string }; edits: TextEdit[] } | { kind: "create"; uri: string })[];
}

export interface CodeAction {
  title: string;
  kind?: string;
  isPreferred?: boolean;
  diagnostics?: { code?: string; range?: LspRange }[];
  edit?: WorkspaceEdit;
}

/** The changes of each file. */
export function byFile(edit: WorkspaceEdit): Map<string, TextEdit[]> {
  const found = new Map<string, TextEdit[]>();
  const add = (uri: string, edits: TextEdit[]) => {
    const path = pathOf(uri);
    if (path !== null) found.set(path, [...(found.get(path) ?? []), ...edits]);
  };
  for (const [uri, edits] of Object.entries(edit.changes ?? {})) add(uri, edits);
  for (const change of edit.documentChanges ?? []) {
    if ("edits" in change) add(change.textDocument.uri, change.edits);
  }
  return found;
}

/** A text with changes put in. Positions count UTF-16 units, as JavaScript does. */
export function withEdits(text: string, edits: TextEdit[]): string {
  const starts = [0];
  for (const found of text.matchAll(/\r\n|\r|\n/g)) starts.push(found.index + found[0].length);
  const at = ({ line, character }: { line: number; character: number }) => Math.min((starts[line] ?? text.length) + character, text.length);
  const inOrder = edits.map(({ range, newText }) => ({ from: at(range.start), to: at(range.end), newText }));
  inOrder.sort((a, b) => b.from - a.from || b.to - a.to);
  return inOrder.reduce((now, { from, to, newText }) => now.slice(0, from) + newText + now.slice(to), text);
}

/** What mends each finding, the preferred one first. One question for all of them: the list is made again with every change. */
export async function fixesOf(client: LSPClient, uri: string, findings: Finding[]): Promise<(finding: Finding) => CodeAction[]> {
  client.sync();
  const lines = findings.map(({ range }) => range.end.line);
  const actions = await client.request<unknown, CodeAction[] | null>("textDocument/codeAction", {
    textDocument: { uri },
    range: { start: { line: 0, character: 0 }, end: { line: Math.max(0, ...lines) + 1, character: 0 } },
    context: { diagnostics: findings, only: ["quickfix"] },
  });
  const name = ({ code, range }: { code?: string; range?: LspRange }) => JSON.stringify([code, range?.start, range?.end]);
  const found = new Map<string, CodeAction[]>();
  for (const action of actions ?? []) {
    if (!action.edit) continue;
    for (const mended of new Set(action.diagnostics?.map(name))) found.set(mended, [...(found.get(mended) ?? []), action]);
  }
  return (finding) => [...(found.get(name(finding)) ?? [])].sort((a, b) => Number(b.isPreferred ?? false) - Number(a.isPreferred ?? false));
}
