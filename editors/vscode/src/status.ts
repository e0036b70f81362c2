import * as vscode from "vscode";

const LANGUAGES = new Set(["formula", "batch", "stock"]);
const AFTER_MS = 250;

/** An entry in the status bar: what the formula comes to, and how much is found in the file. */
export class Status implements vscode.Disposable {
  private readonly item = vscode.window.createStatusBarItem("phasewright.status", vscode.StatusBarAlignment.Left, 10);
  private readonly watch: vscode.Disposable[];
  private later?: NodeJS.Timeout;

  constructor() {
    this.item.name = "Phasewright";
    this.item.command = "workbench.actions.view.problems";
    const soon = (): void => {
      clearTimeout(this.later);
      this.later = setTimeout(() => void this.show(), AFTER_MS);
    };
    this.watch = [
      vscode.window.onDidChangeActiveTextEditor(soon),
      vscode.languages.onDidChangeDiagnostics(soon),
      vscode.workspace.onDidChangeTextDocument(soon),
    ];
    soon();
  }

  dispose(): void {
    clearTimeout(this.later);
    this.item.dispose();
    this.watch.forEach((w) => w.dispose());
  }

  private async show(): Promise<void> {
    const document = vscode.window.activeTextEditor?.document;
    if (!document || !LANGUAGES.has(document.languageId)) {
      this.item.hide();
      return;
    }
    const found = vscode.languages.getDiagnostics(document.uri);
    const count = (severity: vscode.DiagnosticSeverity): number => found.filter((d) => d.severity === severity).length;
    const parts = [
      `$(error) ${count(vscode.DiagnosticSeverity.Error)}`,
      `$(warning) ${count(vscode.DiagnosticSeverity.Warning)}`,
      `$(info) ${count(vscode.DiagnosticSeverity.Information) + count(vscode.DiagnosticSeverity.Hint)}`,
    ];
    const total = document.languageId === "formula" ? await this.total(document.uri) : undefined;
    this.item.text = [total, parts.join(" ")].filter(Boolean).join("  ");
    this.item.tooltip = "Phasewright: the sum of the formula, errors, warnings, and what else was found. Click for the list.";
    this.item.show();
  }

  /** The first lens of the formula begins with its sum. */
  private async total(uri: vscode.Uri): Promise<string | undefined> {
    const lenses = await vscode.commands.executeCommand<vscode.CodeLens[]>("vscode.executeCodeLensProvider", uri, 1);
    return lenses?.[0]?.command?.title.split(" · ")[0];
  }
}
