import * as vscode from "vscode";
import { LanguageClient, LanguageClientOptions, ServerOptions } from "vscode-languageclient/node";
import { Papers } from "./papers";
import { findProgram, MISSING } from "./program";

const LANGUAGES = ["formula", "batch", "stock"];
const OUR_TOML = ["**/phasewright.toml", "**/ingredients/*.toml"];

let client: LanguageClient | undefined;

export async function activate(context: vscode.ExtensionContext): Promise<void> {
  const log = vscode.window.createOutputChannel("Phasewright");
  const papers = new Papers(() => client);
  context.subscriptions.push(
    log,
    papers,
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

async function start(context: vscode.ExtensionContext, log: vscode.OutputChannel, papers: Papers): Promise<void> {
  const command = findProgram(context.extensionPath);
  if (!command) {
    const settings = "Open settings";
    void vscode.window.showErrorMessage(MISSING, settings).then((chosen) => {
      if (chosen === settings) {
        void vscode.commands.executeCommand("workbench.action.openSettings", "phasewright.server.path");
      }
    });
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
