"""Prices and hours from the user's own books: reading, matching, what it comes to. No price is shipped with it."""

#: The lists by name, with what each one tells.
PRICE_LISTS: dict[str, str] = {
    "costs": "every row of the bill, of insulation, hangers, heat trace, consumables, glycol: price, net, spares apart",
    "hours": "hours by operation and size, with the factors that are chosen, and what they cost",
    "cost-summary": "material, hours and labour by unit, line, trade and phase",
    "no-price": "what found no price or no hours in the books, and why",
    "book-problems": "rows and cells of the books that could not be read",
    "alternates": "with --instead: the job as the file has it, the alternate, and the difference",
}
