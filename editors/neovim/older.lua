-- Stillroom in Neovim 0.7 to 0.10, which have no vim.lsp.config: put this file into ~/.config/nvim/plugin/.
vim.api.nvim_create_autocmd({ "BufRead", "BufNewFile" }, {
  pattern = "*.still",
  callback = function()
    vim.bo.filetype = "stillroom"
  end,
})
vim.api.nvim_create_autocmd("FileType", {
  pattern = "stillroom",
  callback = function(opened)
    local folder = vim.fn.fnamemodify(opened.file, ":p:h")
    local id = vim.lsp.start_client({ name = "stillroom", cmd = { "stillroom", "lsp" }, root_dir = folder })
    if id then
      vim.lsp.buf_attach_client(opened.buf, id)
    end
  end,
})
