"""Entries: what somebody says happened, one small class a kind."""
