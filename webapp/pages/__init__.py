"""One router per page: forms in, templates out. Only here do records and formulas meet."""
