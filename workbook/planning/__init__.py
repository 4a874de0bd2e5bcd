"""Which exercises for whom: the plan of a workbook, the pool that its exercises come from."""
