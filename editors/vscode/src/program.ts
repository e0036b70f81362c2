import { existsSync } from "node:fs";
import path from "node:path";
import * as vscode from "vscode";
import { run } from "./commands";

export const MISSING =
  "Phasewright checks your formulas with the program phasewright, and it is not to be found. " +
  "Install it, or say in the setting phasewright.server.path where it is.";

/** The oldest program that this extension works with. */
export const OLDEST = "0.1.0";

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

/** What keeps the program from being used, in a sentence with the way out; nothing where it can be used. */
export async function unfit(program: string): Promise<string | undefined> {
  const { out, err } = await run(program, ["--version"], path.dirname(program));
  const version = /^phasewright (\d+\.\d+\.\d+)/.exec(out)?.[1];
  if (!version) {
    const said = err ? ` (${err.trim().split("\n")[0]})` : "";
    return `${program} does not answer as the program phasewright does${said}. Install it again, or name another in the setting phasewright.server.path.`;
  }
  if (older(version, OLDEST)) {
    return `${program} is version ${version}, and this extension needs ${OLDEST} or later. Install a newer one, or name it in the setting phasewright.server.path.`;
  }
  return undefined;
}

/** True if a version stands before another. */
export function older(version: string, than: string): boolean {
  const [a, b] = [version, than].map((v) => v.split(".").map(Number));
  const at = a.findIndex((n, i) => n !== b[i]);
  return at >= 0 && a[at] < b[at];
}
