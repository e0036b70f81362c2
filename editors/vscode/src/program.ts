import { existsSync } from "node:fs";
import path from "node:path";
import * as vscode from "vscode";

export const MISSING =
  "Phasewright checks your formulas with the program phasewright, and it is not to be found. " +
  "Install it, or say in the setting phasewright.server.path where it is.";

/** The program of the setting, else the bundled one, else the one on the PATH. */
export function findProgram(extension: string): string | undefined {
  const set = vscode.workspace.getConfiguration("phasewright").get<string>("server.path", "").trim();
  if (set) {
    return existsSync(set) ? set : undefined;
  }
  const name = process.platform === "win32" ? "phasewright.exe" : "phasewright";
  const folders = [path.join(extension, "bin"), ...(process.env.PATH ?? "").split(path.delimiter)];
  return folders.filter(Boolean).map((folder) => path.join(folder, name)).find(existsSync);
}
