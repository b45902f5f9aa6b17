"""The steps by which a store's tables came to be what they are; run by `store.engine.upgrade`, never by hand."""
