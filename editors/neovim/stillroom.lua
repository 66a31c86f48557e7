-- Stillroom in Neovim 0.11 or newer: put this file into ~/.config/nvim/plugin/.
vim.filetype.add({ extension = { still = "stillroom" } })
vim.lsp.config("stillroom", {
  cmd = { "stillroom", "lsp" },
  filetypes = { "stillroom" },
  root_markers = { ".git" },
})
vim.lsp.enable("stillroom")
vim.api.nvim_create_autocmd("LspAttach", {
  callback = function(attached)
    local client = vim.lsp.get_client_by_id(attached.data.client_id)
    if client and client.name == "stillroom" then
      vim.lsp.inlay_hint.enable(true, { bufnr = attached.buf })
      vim.bo[attached.buf].commentstring = "# %s"
    end
  end,
})
