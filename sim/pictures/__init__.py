"""Charts, the bore in 3-D, the job turn by turn, and the process that draws."""
