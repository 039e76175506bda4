"""The answer in words, tables, figures and JSON: rounding and wording happen here and nowhere below."""
