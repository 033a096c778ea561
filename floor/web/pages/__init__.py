"""The pages: what people see in a browser. Each module has the routes of one subject."""
