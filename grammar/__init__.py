"""The grammar of the hookup language, as data: `hookup.lark`."""
