"""Why a goal cannot be reached: the smallest set of facts that shut each other out."""
