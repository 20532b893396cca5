"""What pages may show: one frozen record for each template; JSON contracts are pydantic models."""
