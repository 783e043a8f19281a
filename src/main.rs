//! The `tailpattern` program: reads the command line, runs one command, sets the exit code.
fn main() {}
