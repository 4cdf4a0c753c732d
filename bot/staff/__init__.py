"""Staff: who they are, how they sign in, what each may do, and the pages that they work at."""
