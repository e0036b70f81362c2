// A real Neovim with the plugin of this project, driven over its RPC: keys go in as if they were typed.
import { decodeMultiStream, encode } from "@msgpack/msgpack";
import { spawn } from "node:child_process";
import path from "node:path";
import { pause, until } from "../time.mjs";
import { browser } from "./chromium.mjs";
import { Grid } from "./grid.mjs";

const KEYS = { Enter: "<CR>", Tab: "<Tab>", Backspace: "<BS>", Delete: "<Del>", Escape: "<Esc>", End: "<End>", Home: "<Home>",
  ArrowUp: "<Up>", ArrowDown: "<Down>", ArrowLeft: "<Left>", ArrowRight: "<Right>", "<": "<lt>" };

const ANSWER_WITHIN_MS = 20000;

// What Neovim's manual gives under "lsp-autocompletion" for a list at every letter.
const COMPLETE_AS_TYPED = `
  vim.o.completeopt = 'menuone,noselect,popup'
  vim.api.nvim_create_autocmd('LspAttach', { callback = function(event)
    local client = assert(vim.lsp.get_client_by_id(event.data.client_id))
    local chars = {}
    for i = 32, 126 do table.insert(chars, string.char(i)) end
    client.server_capabilities.completionProvider.triggerCharacters = chars
    vim.lsp.completion.enable(true, client.id, event.buf, { autotrigger = true })
  end })`;

const READY = `
  for _, c in ipairs(vim.lsp.get_clients({ bufnr = 0, name = 'phasewright' })) do
    if c.initialized then return true end
  end
  return false`;

const LOOK = `
  local at = vim.api.nvim_win_get_cursor(0)
  local line = vim.api.nvim_get_current_line()
  if vim.api.nvim_get_mode().mode == 's' then
    local one, other = vim.fn.getpos('v')[3], vim.fn.getpos('.')[3]
    local from, to = math.min(one, other) - 1, math.max(one, other)
    return { at[1] - 1, vim.fn.strchars(line:sub(1, from)), vim.fn.strchars(line:sub(1, to)), line }
  end
  local column = vim.fn.strchars(line:sub(1, at[2]))
  return { at[1] - 1, column, column, line }`;

const LIST = `
  local info = vim.fn.complete_info({ 'items', 'pum_visible', 'selected' })
  if info.pum_visible == 0 then return vim.NIL end
  local labels = {}
  for _, item in ipairs(info.items) do table.insert(labels, item.abbr ~= '' and item.abbr or item.word) end
  return { labels, info.selected }`;

export class Neovim {
  /** @param {{ root: string, program: string, asTyped: boolean }} options */
  constructor(options) {
    this.options = options;
    this.name = options.asTyped ? "Neovim, list as typed" : "Neovim";
    this.formats = false;
    this.acceptKey = "<C-y>";
    this.closeKey = "<C-e>";
  }

  async start() {}

  async desk() {
    return new Desk(this.options);
  }

  async stop() {}
}

class Desk {
  constructor({ root, program, asTyped }) {
    this.root = root;
    this.program = program;
    this.asTyped = asTyped;
    this.grid = new Grid();
    this.answers = new Map();
    this.asked = 0;
  }

  /** @param {{ columns?: number, rows?: number }} size of the terminal */
  async open(file, { columns = 100, rows = 40 } = {}) {
    const nvim = path.join(this.root, "target/editors/bin/nvim");
    const plugin = path.join(this.root, "editors/neovim");
    this.process = spawn(nvim, ["--embed", "--headless", "--clean", "-n", "--cmd", `set runtimepath+=${plugin}`],
      { cwd: path.dirname(file), stdio: ["pipe", "pipe", "inherit"] });
    this.read();
    await this.lua("vim.g.phasewright_cmd = { ..., 'serve' }", this.program);
    if (this.asTyped) await this.lua(COMPLETE_AS_TYPED);
    await this.ask("nvim_ui_attach", columns, rows, { rgb: true, ext_linegrid: true });
    await this.lua("vim.cmd.edit(...)", file);
    if (!(await until(20000, () => this.lua(READY)))) throw new Error("Neovim: the server did not start");
    await this.ask("nvim_input", "i");
  }

  async read() {
    try {
      for await (const message of decodeMultiStream(this.process.stdout)) {
        if (message[0] === 2 && message[1] === "redraw") this.grid.redraw(message[2]);
        if (message[0] !== 1) continue;
        const { resolve, reject } = this.answers.get(message[1]);
        this.answers.delete(message[1]);
        message[2] ? reject(new Error(`Neovim: ${message[2][1]}`)) : resolve(message[3]);
      }
    } catch {
      // The pipe ends with the process.
    }
  }

  ask(method, ...params) {
    const id = this.asked++;
    return new Promise((resolve, reject) => {
      this.answers.set(id, { resolve, reject });
      setTimeout(() => reject(new Error(`Neovim does not answer to ${method}:\n${this.grid.text()}`)), ANSWER_WITHIN_MS).unref();
      this.process.stdin.write(encode([0, id, method, params]));
    });
  }

  lua(code, ...args) {
    return this.ask("nvim_exec_lua", code, args);
  }

  press(key) {
    return this.ask("nvim_input", KEYS[key] ?? key);
  }

  async look() {
    const [line, from, to, text] = await this.lua(LOOK);
    return { line, from, to, text };
  }

  async list() {
    const found = await this.lua(LIST);
    return found && { labels: found[0], selected: found[1] };
  }

  async save() {}

  async text() {
    return (await this.ask("nvim_buf_get_lines", 0, 0, -1, false)).join("\n");
  }

  async picture(file) {
    const drawn = await browser();
    const page = await drawn.newPage();
    await page.setContent(this.grid.html());
    await page.locator("pre").screenshot({ path: file });
    await drawn.close();
  }

  async close() {
    const gone = new Promise((resolve) => this.process.once("exit", resolve));
    this.press("<Esc>:qa!<CR>").catch(() => {});
    const left = await Promise.race([gone.then(() => true), pause(3000).then(() => false)]);
    if (!left) this.process.kill("SIGKILL");
  }
}
