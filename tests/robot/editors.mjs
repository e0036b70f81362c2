// The editors by the names that the options take.
import { CodeMirror } from "./desks/codemirror.mjs";
import { Neovim } from "./desks/neovim.mjs";
import { VSCode } from "./desks/vscode.mjs";

export const EDITORS = ["nvim", "nvim-typed", "codemirror", "vscode"];

/** @param {{ root: string, program: string, folder: string }} options */
export function editor(name, options) {
  if (name === "nvim") return new Neovim({ ...options, asTyped: false });
  if (name === "nvim-typed") return new Neovim({ ...options, asTyped: true });
  if (name === "codemirror") return new CodeMirror(options);
  if (name === "vscode") return new VSCode(options);
  throw new Error(`there is no editor ${name}; there are ${EDITORS.join(", ")}`);
}
