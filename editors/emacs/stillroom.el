;;; stillroom.el --- Stillroom in Emacs, with eglot  -*- lexical-binding: t; -*-

;; Emacs 29 has eglot; for an older one, install the package eglot. Load this file from your init file.

;;; Code:

(define-derived-mode stillroom-mode prog-mode "Stillroom"
  "Formulas of skincare as text."
  (setq-local comment-start "# ")
  (setq-local comment-start-skip "#+ *")
  (setq-local indent-tabs-mode nil)
  (setq-local tab-width 2)
  (setq-local font-lock-defaults
              '((("^[ \t]*\\([a-z][a-z-]*\\)\\_>" 1 font-lock-keyword-face)
                 ("\\_<[0-9][0-9_.]*\\_>" . font-lock-constant-face)))))

(modify-syntax-entry ?# "<" stillroom-mode-syntax-table)
(modify-syntax-entry ?\n ">" stillroom-mode-syntax-table)
(modify-syntax-entry ?- "_" stillroom-mode-syntax-table)

(add-to-list 'auto-mode-alist '("\\.still\\'" . stillroom-mode))

(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '(stillroom-mode . ("stillroom" "lsp"))))

(add-hook 'stillroom-mode-hook (lambda () (when (fboundp 'eglot-ensure) (eglot-ensure))))

(provide 'stillroom)
;;; stillroom.el ends here
