"""What an installation DOES: metres, temperatures, watts, frames and minutes, each computed once, on first use."""
