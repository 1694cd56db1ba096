"""One module a page; each is registered by `dashboard.app`."""
