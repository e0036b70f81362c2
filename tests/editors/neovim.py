"""Sets a real Neovim up as editors/neovim/README.md says, and types into it."""

import time

from desk import Desk, Terminal, blocks

desk = Desk()
config = desk.home / ".config/nvim"
config.mkdir(parents=True)
runtimepath, *more = blocks("editors/neovim/README.md", "lua")
manager = [b for b in more if b.lstrip().startswith("{")]
more = [b for b in more if not b.lstrip().startswith("{")]
(config / "init.lua").write_text(runtimepath + "\n".join(more), encoding="utf-8")
desk.check("a plugin manager is told the folder", len(manager) == 1 and "editors/neovim" in manager[0], manager)
neovim = Terminal(desk, ["nvim", "-n", "hand-cream.formula"])
desk.step("the server is started", desk.server_runs)
desk.step("the weights stand beside the rows", neovim.screen, lambda s: "12.5" in s)
neovim.type("/panthenol")
neovim.press("Enter")
neovim.type("ophenoxyeth")
desk.step("completion comes by itself, on letters", neovim.screen, lambda s: s.count("henoxyethanol") > 1)
neovim.press("C-e")
neovim.type("anol   1.2 %")
neovim.press("Escape")
desk.step("the message stands below its line", neovim.screen, lambda s: "at most 1 %" in s or "1 %" in s.split("1.2 %", 1)[-1])
neovim.type(":q!")
neovim.press("Enter")
time.sleep(0.5)
desk.end()
