"""The functional core: everything that is decided and computed.

Never knows a file, a clock, a thread, a device or a database: the name of this folder is the rule.
"""
