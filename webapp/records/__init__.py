"""Tables, the store of rows and photo files, migrations. Nothing here knows a formula."""
