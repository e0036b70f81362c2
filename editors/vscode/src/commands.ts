import { execFile } from "node:child_process";
import path from "node:path";
import * as vscode from "vscode";

/** What the program said: its status and both of its outputs. */
export interface Answer {
  status: number;
  out: string;
  err: string;
}

/** Runs the program once. Never rejects: a program that cannot be started answers with status 2. */
export function run(program: string, args: string[], folder: string): Promise<Answer> {
  return new Promise((resolve) => {
    execFile(program, args, { cwd: folder, maxBuffer: 16 * 1024 * 1024 }, (error, out, err) => {
      const code = (error as { code?: number | string } | null)?.code;
      resolve({ status: typeof code === "number" ? code : error ? 2 : 0, out, err: err || (error && !out ? error.message : "") });
    });
  });
}

/** What the program says of itself begins every line: it is no part of the message. */
export const plain = (err: string): string => err.replaceAll(/^phasewright: /gm, "").trim();

/** Writes the starter of a formula into the folder that is open, and opens it. */
export async function newFormula(program: string): Promise<void> {
  const active = vscode.window.activeTextEditor?.document.uri;
  const folder = vscode.workspace.workspaceFolders?.[0]?.uri.fsPath ?? (active?.scheme === "file" ? path.dirname(active.fsPath) : undefined);
  if (!folder) {
    void vscode.window.showInformationMessage("Open the folder for your formulas first.");
    return;
  }
  const name = await vscode.window.showInputBox({ title: "New formula", prompt: "Its name", placeHolder: "Day cream" });
  if (!name) {
    return;
  }
  await openWritten(await run(program, ["new", name], folder), folder);
}

/** Begins a batch record of the formula in the active editor, and opens it. */
export async function newBatch(program: string): Promise<void> {
  const document = vscode.window.activeTextEditor?.document;
  if (document?.languageId !== "formula" || document.uri.scheme !== "file") {
    void vscode.window.showInformationMessage("Open a formula first.");
    return;
  }
  await document.save();
  const folder = path.dirname(document.fileName);
  await openWritten(await run(program, ["batch", "new", path.basename(document.fileName)], folder), folder);
}

/** `FILE is written`: the first words of the answer name the file. */
async function openWritten(answer: Answer, folder: string): Promise<void> {
  const file = /^(.*?\.(?:formula|batch)) is written/m.exec(answer.out)?.[1];
  if (!file) {
    void vscode.window.showErrorMessage(plain(answer.err) || "Nothing was written.");
    return;
  }
  await vscode.window.showTextDocument(vscode.Uri.file(path.resolve(folder, file)));
}
