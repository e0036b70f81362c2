// What the page and its worker say to each other.
import type { Ran } from "./system";

export type ToWorker =
  | { kind: "start"; core: string; files: [string, string][]; messages: string[] }
  | { kind: "write"; path: string; text: string }
  | { kind: "remove"; path: string }
  | { kind: "lsp"; message: string }
  | { kind: "run"; id: number; args: string[]; files: [string, string][] };

export type FromWorker =
  | { kind: "ready" }
  | { kind: "lsp"; message: string }
  | { kind: "ran"; id: number; ran: Ran }
  | { kind: "failed"; what: string };
