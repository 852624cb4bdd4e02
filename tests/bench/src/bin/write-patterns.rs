//! Writes many pattern files into a folder, for measuring how fast they are checked.

use lampwright_formats::write_pattern;
use lampwright_tests::large::library_pattern;
use std::io;
use std::path::PathBuf;

fn main() -> io::Result<()> {
    let mut arguments = std::env::args_os().skip(1);
    let folder = arguments.next().map(PathBuf::from);
    let n_files = arguments
        .next()
        .and_then(|text| text.to_str()?.parse::<usize>().ok());
    let (Some(folder), Some(n_files)) = (folder, n_files) else {
        return Err(io::Error::other("write-patterns FOLDER COUNT"));
    };
    std::fs::create_dir_all(&folder)?;
    for number in 0..n_files {
        let text = write_pattern(&library_pattern(number), "Invented");
        std::fs::write(folder.join(format!("{number:05}.json")), text)?;
    }
    Ok(())
}
