"""The pages of the bench, one module a page: each reads what was asked, calls the library and fills a template."""
