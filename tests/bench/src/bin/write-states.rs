//! Writes the program of more than a million states into a file, for measuring how fast they are judged.

use lampwright_formats::write_program;
use lampwright_tests::large::states_program;
use std::io;

fn main() -> io::Result<()> {
    let Some(path) = std::env::args_os().nth(1) else {
        return Err(io::Error::other("write-states FILE"));
    };
    std::fs::write(path, write_program(&states_program()))
}
