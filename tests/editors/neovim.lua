-- Drives a real Neovim as a maker would: keys are typed into an inner one, which has the plugin of this project and nothing else.
-- Environment: PHASEWRIGHT the program, PLUGIN the folder editors/neovim, FOLDER a workspace with hand-cream.formula.
local folder = assert(os.getenv('FOLDER'))
local pid_file = folder .. '/server.pid'
local failed = 0

local function check(name, ok, seen)
  failed = failed + (ok and 0 or 1)
  io.stdout:write((ok and 'ok   ' or 'FAIL ') .. name .. (ok and '' or '\n     seen: ' .. vim.inspect(seen)) .. '\n')
end

local inner = vim.fn.jobstart({
  vim.v.progpath, '--embed', '--headless', '--clean', '-n',
  '--cmd', 'set runtimepath+=' .. assert(os.getenv('PLUGIN')),
}, { rpc = true, cwd = folder })
assert(inner > 0, 'the inner Neovim starts')

local function lua(code, ...)
  return vim.rpcrequest(inner, 'nvim_exec_lua', code, { ... })
end
local function keys(typed)
  vim.rpcrequest(inner, 'nvim_input', typed)
end
--- Asks until the answer is wanted; no answer is ever this late unless something hangs.
local function wait(wanted, code, ...)
  local seen
  local args = { ... }
  local ok = vim.wait(20000, function()
    seen = lua(code, unpack(args))
    return wanted(seen)
  end, 20)
  return ok, seen
end
local function step(name, wanted, code, ...)
  local ok, seen = wait(wanted, code, ...)
  check(name, ok, seen)
  return seen
end

local DIAGNOSTICS = [[
  local out = {}
  for _, d in ipairs(vim.diagnostic.get(0)) do
    local line = vim.api.nvim_buf_get_lines(0, d.lnum, d.lnum + 1, false)[1] or ''
    table.insert(out, { code = d.code, line = d.lnum + 1, severity = d.severity, text = line:sub(d.col + 1, d.end_col), message = d.message })
  end
  return out
]]
local function of_code(code)
  return function(list)
    local n = 0
    for _, d in ipairs(list) do n = n + (d.code == code and 1 or 0) end
    return n
  end
end
local over = of_code('above-legal-limit')
local LINE = [[return vim.api.nvim_buf_get_lines(0, ... - 1, ..., false)[1] ]]
local function find(text)
  return lua([[for n, l in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do if l:find(..., 1, true) then return n end end return -1]], text)
end

-- Opening an example.
lua([[
  vim.g.phasewright_cmd = { 'sh', '-c', 'echo $$ > ' .. select(1, ...) .. '; exec ' .. select(2, ...) .. ' serve' }
  vim.cmd.edit('hand-cream.formula')
]], pid_file, assert(os.getenv('PHASEWRIGHT')))
step('the file type is known', function(ft) return ft == 'formula' end, 'return vim.bo.filetype')
step('the syntax is coloured', function(n) return n == 'formulaHeading' end, [[return vim.fn.synIDattr(vim.fn.synID(1, 1, 1), 'name')]])
step('the server is attached', function(n) return n == 1 end, [[
  local n = 0
  for _, c in ipairs(vim.lsp.get_clients({ bufnr = 0, name = 'phasewright' })) do n = n + (c.initialized and 1 or 0) end
  return n
]])
lua('vim.lsp.inlay_hint.enable(true)')
step('the weights stand beside the rows', function(n) return n > 5 end, 'return #vim.lsp.inlay_hint.get({ bufnr = 0 })')
local start = lua(DIAGNOSTICS)
check('a good formula draws no error and no warning', #vim.tbl_filter(function(d) return d.severity <= 2 end, start) == 0, start)

-- Typing a row (Neovim indents it) with an é and an emoji to the left of what is wrong.
keys('/panthenol<CR>')
keys('ocrème 🧴 mix   1.2 %<Esc>')
local found = step('a typed fault is shown', function(l) return over(l) == 1 end, DIAGNOSTICS)
local row = find('crème 🧴 mix')
local fault = vim.tbl_filter(function(d) return d.code == 'above-legal-limit' end, found)[1] or {}
check('it is shown once, on its row, under its amount', fault.line == row and fault.text == '1.2 %', fault)
check('nothing else is said', #found == #start + 1, found)

-- An edit to the right of both.
keys('$F1')
keys('3x')
keys('i1.1<Esc>')
local after = step('an edit behind é and 🧴 lands where it was typed', function(l)
  local d = vim.tbl_filter(function(x) return x.code == 'above-legal-limit' end, l)[1]
  return d and d.message:find('1.1 %', 1, true) ~= nil
end, DIAGNOSTICS)
check('its place is right', vim.tbl_filter(function(x) return x.code == 'above-legal-limit' end, after)[1].text == '1.1 %', after)

-- The fix.
lua([[vim.lsp.buf.code_action({ apply = true, filter = function(a) return a.isPreferred and a.kind == 'quickfix' end })]])
step('the fix is applied', function(l) return l == '  crème 🧴 mix   1 %' end, LINE, row)
step('and the fault is gone', function(l) return #l == #start end, DIAGNOSTICS)

-- Hover.
keys('/glycerin<CR>K')
step('hover shows the card', function(text) return text:find('Glycerin', 1, true) ~= nil and text:find('Use', 1, true) ~= nil end, [[
  for _, w in ipairs(vim.api.nvim_list_wins()) do
    if vim.api.nvim_win_get_config(w).relative ~= '' then
      return table.concat(vim.api.nvim_buf_get_lines(vim.api.nvim_win_get_buf(w), 0, -1, false), '\n')
    end
  end
  return ''
]])
keys('<Esc>')
lua([[vim.cmd('silent! fclose!')]])

-- Completion, typed behind an é and an emoji in the heading above.
lua([[vim.o.completeopt = 'menu,menuone,noinsert']])
keys('/rapeseed<CR>')
keys('ojojob<C-x><C-o>')
step('completion offers the ingredient', function(words)
  return vim.tbl_contains(words, function(w) return w:find('jojoba', 1, true) ~= nil end, { predicate = true })
end, [[
  local out = {}
  for _, i in ipairs(vim.fn.complete_info({ 'items', 'pum_visible' }).items) do table.insert(out, i.word .. ' ' .. i.abbr) end
  return out
]])
keys('<C-y>')
local completed = find('  jojoba')
check('and writes its name', completed > 0, lua('return vim.api.nvim_buf_get_lines(0, 0, -1, false)'))
keys('<Esc>u')
step('undone, the text is as before', function(n) return n == -1 end, [[for n, l in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do if l:find('jojob', 1, true) then return n end end return -1]])

-- Formatting.
local before = lua('return vim.api.nvim_buf_get_lines(0, 0, -1, false)')
keys('/xanthan<CR>')
keys(':s/gum  */gum /<CR>')
local ragged = find('xanthan gum ')
step('a row stands out of line', function(l) return l == '  xanthan gum 0.2 %' end, LINE, ragged)
lua([[vim.lsp.buf.format({ async = false, timeout_ms = 20000 })]])
step('formatting puts it back', function(l) return l == before[ragged] end, LINE, ragged)
local mixed = find('crème 🧴 mix')
step('and sets the row with the emoji in line', function(l) return l:find('^  crème 🧴 mix   +1 %%$') ~= nil end, LINE, mixed)

-- Papers.
lua([[vim.ui.open = function(what) vim.g.opened = what; return nil, nil end]])
check('the papers are offered', vim.tbl_contains(lua([[return vim.fn.getcompletion('Phasewright ', 'cmdline')]]), 'sheet'), lua([[return vim.fn.getcompletion('Phasewright ', 'cmdline')]]))
keys(':Phasewright sheet<CR>')
step('the weigh sheet opens in the browser', function(page) return page:find('^<!DOCTYPE html>') ~= nil and page:find('crème 🧴 mix', 1, true) ~= nil end, [[
  local at = vim.g.opened and vim.uri_to_fname(vim.g.opened)
  return at and table.concat(vim.fn.readfile(at), '\n') or ''
]])

-- Leaving.
local pid = tonumber(vim.fn.readfile(pid_file)[1])
check('the server runs', pid ~= nil and vim.uv.kill(pid, 0) == 0, pid)
pcall(keys, ':qa!<CR>')
vim.fn.jobwait({ inner }, 20000)
local gone = vim.wait(20000, function() return vim.uv.kill(pid, 0) ~= 0 end, 50)
check('it is gone with the editor', gone, pid)

io.stdout:write(failed == 0 and 'all well\n' or failed .. ' failed\n')
os.exit(failed == 0 and 0 or 1)
