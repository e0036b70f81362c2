import * as vscode from "vscode";
import { LanguageClient, LanguageClientOptions, ServerOptions } from "vscode-languageclient/node";
import { Papers } from "./papers";
import { newBatch, newFormula } from "./commands";
import { findProgram, MISSING, unfit } from "./program";
import { Status } from "./status";

const LANGUAGES = ["formula", "batch", "stock"];
const OUR_TOML = ["**/phasewright.toml", "**/ingredients/*.toml"];

let client: LanguageClient | undefined;

export async function activate(context: vscode.ExtensionContext): Promise<void> {
  const log = vscode.window.createOutputChannel("Phasewright");
  const program = (): string | undefined => findProgram(context.extensionPath);
  const papers = new Papers(() => client, program);
  /** A command that needs the program, or the word that it is missing. */
  const withProgram = (action: (program: string) => Promise<void>) => async (): Promise<void> => {
    const found = program();
    await (found ? action(found) : cannotStart(MISSING));
  };
  context.subscriptions.push(
    log,
    papers,
    new Status(),
    vscode.commands.registerCommand("phasewright.new", withProgram(newFormula)),
    vscode.commands.registerCommand("phasewright.batch", withProgram(newBatch)),
    vscode.commands.registerCommand("phasewright.compare", withProgram((found) => papers.byProgram("phasewright.compare", found))),
    vscode.commands.registerCommand("phasewright.cost", withProgram((found) => papers.byProgram("phasewright.cost", found))),
    vscode.commands.registerCommand("phasewright.log", () => log.show()),
    vscode.commands.registerCommand("phasewright.restart", async () => {
      await stop();
      await start(context, log, papers);
    }),
    vscode.workspace.onDidChangeConfiguration(async (change) => {
      if (change.affectsConfiguration("phasewright.server")) {
        await vscode.commands.executeCommand("phasewright.restart");
      }
    }),
  );
  await start(context, log, papers);
}

export async function deactivate(): Promise<void> {
  await stop();
}

async function stop(): Promise<void> {
  const running = client;
  client = undefined;
  await running?.dispose();
}

/** Says why there is no server, with the way to the setting. */
async function cannotStart(why: string): Promise<void> {
  const settings = "Open settings";
  if ((await vscode.window.showErrorMessage(why, settings)) === settings) {
    await vscode.commands.executeCommand("workbench.action.openSettings", "phasewright.server.path");
  }
}

async function start(context: vscode.ExtensionContext, log: vscode.OutputChannel, papers: Papers): Promise<void> {
  const command = findProgram(context.extensionPath);
  const hindrance = command ? await unfit(command) : MISSING;
  if (!command || hindrance) {
    log.appendLine(hindrance ?? MISSING);
    void cannotStart(hindrance ?? MISSING);
    return;
  }
  const server: ServerOptions = { command, args: ["serve"] };
  const options: LanguageClientOptions = {
    documentSelector: [
      ...LANGUAGES.map((language) => ({ language })),
      ...OUR_TOML.map((pattern) => ({ scheme: "file", pattern })),
    ],
    outputChannel: log,
    // Papers are shown in panels: the server need not open them or tell where they lie.
    initializationOptions: { showsPapers: true },
    middleware: {
      executeCommand: (command, args, next) => papers.run(command, args, next),
      window: { showDocument: (params, next) => papers.showDocument(params, next) },
    },
  };
  client = new LanguageClient("phasewright", "Phasewright", server, options);
  await client.start();
  const offered = client.initializeResult?.capabilities.executeCommandProvider?.commands ?? [];
  for (const name of offered) {
    await vscode.commands.executeCommand("setContext", name, true);
  }
}
