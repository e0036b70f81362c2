-- The same plugin in a Neovim before 0.11, which has no `vim.lsp.enable`: opens a formula, waits for a fault, mends it, hovers.
-- Environment: PHASEWRIGHT the program, FOLDER a workspace with hand-cream.formula.
local failed = 0
local function check(name, ok, seen)
  failed = failed + (ok and 0 or 1)
  io.stdout:write((ok and 'ok   ' or 'FAIL ') .. name .. (ok and '' or '\n     seen: ' .. vim.inspect(seen)) .. '\n')
end
--- Waits until it is so; no answer is ever this late unless something hangs.
local function step(name, look, wanted)
  local seen
  local ok = vim.wait(20000, function()
    seen = look()
    return wanted(seen)
  end, 20)
  check(name, ok, seen)
end

vim.g.phasewright_cmd = { assert(os.getenv('PHASEWRIGHT')), 'serve' }
vim.o.swapfile = false
vim.cmd('cd ' .. assert(os.getenv('FOLDER')))
vim.cmd('edit hand-cream.formula')
check('it is an older one', vim.lsp.enable == nil, vim.version())
step('the file type is known', function() return vim.bo.filetype end, function(ft) return ft == 'formula' end)
step('the server is attached', function() return vim.tbl_count(vim.lsp.buf_get_clients(0)) end, function(n) return n == 1 end)

local function over()
  return vim.tbl_filter(function(d) return d.code == 'above-legal-limit' end, vim.diagnostic.get(0))
end
local row = vim.fn.search('panthenol', 'n')
vim.api.nvim_buf_set_lines(0, row, row, false, { '  crème 🧴 mix   1.2 %' })
step('a limit that is passed is said', over, function(found) return #found == 1 and found[1].lnum == row end)
vim.api.nvim_buf_set_lines(0, row, row + 1, false, { '  crème 🧴 mix   0.9 %' })
step('and taken back when it is mended', over, function(found) return #found == 0 end)

local shown
vim.lsp.buf_request(0, 'textDocument/hover', { textDocument = { uri = vim.uri_from_bufnr(0) }, position = { line = vim.fn.search('glycerin', 'n') - 1, character = 3 } }, function(_, result)
  shown = result and vim.inspect(result.contents) or ''
end)
step('hover shows the card', function() return shown or '' end, function(text) return text:find('Glycerin', 1, true) ~= nil end)
check('the papers are offered', vim.tbl_contains(vim.fn.getcompletion('Phasewright ', 'cmdline'), 'sheet'), vim.fn.getcompletion('Phasewright ', 'cmdline'))

io.stdout:write(failed == 0 and 'all well\n' or failed .. ' failed\n')
vim.cmd(failed == 0 and 'qa!' or 'cq!')
