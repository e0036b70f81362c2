import { readFile } from "node:fs/promises";
import path from "node:path";
import * as vscode from "vscode";
import { plain, run } from "./commands";
import { ExecuteCommandRequest, LanguageClient, ShowDocumentParams, ShowDocumentRequest, ShowDocumentResult } from "vscode-languageclient/node";

/** What the server answers to the command of a paper. */
interface Made {
  html?: string;
  path?: string;
}

interface Open {
  panel: vscode.WebviewPanel;
  formula: string;
  refresh?: NodeJS.Timeout;
}

const TITLES: Record<string, string> = {
  "phasewright.sheet": "Weigh sheet",
  "phasewright.label": "Label",
  "phasewright.card": "Formula card",
};
/** Papers that the program makes from the file as it is saved. */
const BY_PROGRAM: Record<string, { title: string; word: string }> = {
  "phasewright.cost": { title: "Cost", word: "cost" },
  "phasewright.compare": { title: "Since the last commit", word: "compare" },
};
const REFRESH_AFTER_MS = 400;

/** Papers in panels beside the text; each follows its formula while it is typed. */
export class Papers implements vscode.Disposable {
  private readonly open = new Map<string, Open>();
  /** The paper that was asked for last. */
  private asked = { command: "phasewright.sheet", formula: "" };
  private readonly watch: vscode.Disposable;

  constructor(
    private readonly client: () => LanguageClient | undefined,
    private readonly program: () => string | undefined,
  ) {
    this.watch = vscode.Disposable.from(
      vscode.workspace.onDidChangeTextDocument((change) => this.changed(change.document.uri.toString())),
      vscode.workspace.onDidSaveTextDocument((document) => this.saved(document.uri.toString())),
    );
  }

  dispose(): void {
    this.watch.dispose();
    for (const { panel } of this.open.values()) {
      panel.dispose();
    }
  }

  /** Runs a command of the server. Without arguments it is about the formula in the active editor. */
  async run(command: string, args: unknown[], next: (command: string, args: unknown[]) => vscode.ProviderResult<unknown>): Promise<unknown> {
    if (!(command in TITLES)) {
      return next(command, args);
    }
    const formula = typeof args[0] === "string" ? args[0] : vscode.window.activeTextEditor?.document.uri.toString();
    if (!formula) {
      void vscode.window.showInformationMessage("Open a formula first.");
      return undefined;
    }
    this.asked = { command, formula };
    const made = (await next(command, [formula, ...args.slice(1)])) as Made | undefined;
    if (made?.html) {
      this.show(command, formula, made.html);
    }
    return made;
  }

  /** A paper about the formula in the active editor, as it is saved; made again at each save. */
  async byProgram(command: string, program: string): Promise<void> {
    const document = vscode.window.activeTextEditor?.document;
    if (document?.languageId !== "formula" || document.uri.scheme !== "file") {
      void vscode.window.showInformationMessage("Open a formula first.");
      return;
    }
    await document.save();
    const html = await this.made(command, program, document.uri);
    if (html) {
      this.show(command, document.uri.toString(), html);
    }
  }

  private async made(command: string, program: string, uri: vscode.Uri): Promise<string | undefined> {
    const args = [BY_PROGRAM[command].word, path.basename(uri.fsPath), "--format", "html"];
    const { out, err } = await run(program, args, path.dirname(uri.fsPath));
    if (out.startsWith("<")) {
      return out;
    }
    void vscode.window.showErrorMessage(plain(err));
    return undefined;
  }

  private saved(formula: string): void {
    const program = this.program();
    for (const [key, open] of this.open) {
      const command = key.slice(0, key.indexOf(" "));
      if (open.formula === formula && command in BY_PROGRAM && program) {
        void this.made(command, program, vscode.Uri.parse(formula)).then((html) => {
          if (html && this.open.has(key)) {
            open.panel.webview.html = html;
          }
        });
      }
    }
  }

  /** A server that returns no HTML asks for its file to be shown; a panel shows it in every VS Code, a browser's too. */
  async showDocument(params: ShowDocumentParams, next: ShowDocumentRequest.HandlerSignature): Promise<ShowDocumentResult> {
    const uri = vscode.Uri.parse(params.uri);
    if (uri.scheme !== "file" || !uri.path.endsWith(".html")) {
      const shown = await next(params, new vscode.CancellationTokenSource().token);
      return shown instanceof Error ? { success: false } : shown;
    }
    this.show(this.asked.command, this.asked.formula, await readFile(uri.fsPath, "utf8"));
    return { success: true };
  }

  private show(command: string, formula: string, html: string): void {
    const key = `${command} ${formula}`;
    const open = this.open.get(key);
    if (open) {
      open.panel.webview.html = html;
      open.panel.reveal(undefined, true);
      return;
    }
    const column = { viewColumn: vscode.ViewColumn.Beside, preserveFocus: true };
    const panel = vscode.window.createWebviewPanel("phasewright.paper", TITLES[command] ?? BY_PROGRAM[command].title, column, { enableScripts: false });
    panel.webview.html = html;
    panel.onDidDispose(() => this.open.delete(key));
    this.open.set(key, { panel, formula });
  }

  private changed(formula: string): void {
    for (const [key, open] of this.open) {
      if (open.formula === formula && key.slice(0, key.indexOf(" ")) in TITLES) {
        clearTimeout(open.refresh);
        open.refresh = setTimeout(() => void this.refresh(key, open), REFRESH_AFTER_MS);
      }
    }
  }

  /** A formula that cannot be printed while it is typed leaves the last paper standing. */
  private async refresh(key: string, open: Open): Promise<void> {
    const command = key.slice(0, key.indexOf(" "));
    const made = await this.client()
      ?.sendRequest(ExecuteCommandRequest.type, { command, arguments: [open.formula] })
      .then((answer) => answer as Made | undefined, () => undefined);
    if (made?.html && this.open.has(key)) {
      open.panel.webview.html = made.html;
    }
  }
}
