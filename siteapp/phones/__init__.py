"""The crew's phones: the address they reach this laptop by, and what each last said is still waiting on it."""
