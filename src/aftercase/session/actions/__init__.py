"""The table of actions: menus, keys, the sheet of keys and the documents all come from it."""
