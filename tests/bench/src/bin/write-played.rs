//! Writes the program in which heads play 100,000 pulses into a file, for measuring the app with it.

use lampwright_formats::write_program;
use lampwright_tests::large::played_program;
use std::io;

fn main() -> io::Result<()> {
    let Some(path) = std::env::args_os().nth(1) else {
        return Err(io::Error::other("write-played FILE"));
    };
    std::fs::write(path, write_program(&played_program()))
}
