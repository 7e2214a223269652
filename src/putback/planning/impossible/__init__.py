"""Why a goal cannot be reached: the smallest set of facts against it; or any order at all."""
