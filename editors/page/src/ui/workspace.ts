// The open documents of the language client: one editor for each file.
import { LSPPlugin, Workspace, type LSPClient, type WorkspaceFile } from "@codemirror/lsp-client";
import type { ChangeSet, Text } from "@codemirror/state";
import type { EditorView } from "@codemirror/view";

class OpenFile implements WorkspaceFile {
  constructor(
    public uri: string,
    public languageId: string,
    public version: number,
    public doc: Text,
    private view: EditorView,
  ) {}

  getView() {
    return this.view;
  }
}

export class PageWorkspace extends Workspace {
  files: OpenFile[] = [];
  private version = 0;

  constructor(
    client: LSPClient,
    private show: (uri: string) => Promise<EditorView | null>,
  ) {
    super(client);
  }

  syncFiles() {
    const updates: { file: OpenFile; prevDoc: Text; changes: ChangeSet }[] = [];
    for (const file of this.files) {
      const plugin = LSPPlugin.get(file.getView());
      if (!plugin || plugin.unsyncedChanges.empty) continue;
      updates.push({ file, prevDoc: file.doc, changes: plugin.unsyncedChanges });
      file.doc = file.getView().state.doc;
      file.version = ++this.version;
      plugin.clear();
    }
    return updates;
  }

  openFile(uri: string, languageId: string, view: EditorView) {
    const file = new OpenFile(uri, languageId, ++this.version, view.state.doc, view);
    this.files.push(file);
    if (this.client.connected) this.client.didOpen(file);
  }

  closeFile(uri: string) {
    this.files = this.files.filter((file) => file.uri !== uri);
    if (this.client.connected) this.client.didClose(uri);
  }

  override displayFile(uri: string) {
    return this.show(uri);
  }
}

export const uriOf = (path: string) => `file:///${path.split("/").map(encodeURIComponent).join("/")}`;

export function pathOf(uri: string): string | null {
  return uri.startsWith("file:///") ? uri.slice("file:///".length).split("/").map(decodeURIComponent).join("/") : null;
}

export const languageOf = (path: string) => /\.(formula|batch|stock)$/.exec(path)?.[1] ?? "toml";
