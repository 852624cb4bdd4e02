//! What is handed out: the static site, usable offline once loaded, and the one-file page.
//!
//! Invariant: both hold the same WebAssembly as the served pages and carry their policy within,
//! since a static host or a disk sends no headers.
//! Absent: publishing anything anywhere.

use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

use crate::bundle::{self, LATER, LATER_PART, STEM};
use crate::process::Problem;
use crate::size::Sizes;
use crate::{csp, workspace};

const SERVICE_WORKER: &str = include_str!("assets/service-worker.js");
const REGISTER: &str = include_str!("assets/register.js");
const START_ONE_FILE: &str = include_str!("assets/start-one-file.js");
const PART_WITHIN: &str = include_str!("assets/part-within.js");
/// What the start of the pages brings in before the app; a block of its own, without names for others.
const CRASH: &str = "crash.js";
const CHARSET: &str = "<meta charset=\"utf-8\">";
const START: &str = "<script type=\"module\" src=\"start.js\"></script>";

/// Builds the app and writes the site and the one-file page; returns the sizes of the site.
pub(crate) fn write() -> Result<Sizes, Problem> {
    let pages = bundle::build_pages()?;
    let site = workspace::site();
    write_site(&pages, &site)?;
    println!("dist: static site in {}", site.display());
    let page = one_file(&pages)?;
    let path = workspace::one_file();
    write_text(&path, &page)?;
    println!(
        "dist: one-file page {} ({} bytes)",
        path.display(),
        page.len()
    );
    let sizes = Sizes::of_folder(&pages)?;
    sizes.print();
    Ok(sizes)
}

fn write_site(pages: &Path, site: &Path) -> Result<(), Problem> {
    bundle::empty_folder(site)?;
    bundle::copy_folder(pages, site)?;
    let shell = read_text(&pages.join("index.html"))?;
    let shell = with_policy(&shell, csp::PAGE)?;
    let shell = shell.replacen(
        "</head>",
        "<script type=\"module\" src=\"register.js\"></script>\n</head>",
        1,
    );
    write_text(&site.join("index.html"), &shell)?;
    write_text(&site.join("register.js"), REGISTER)?;

    let mut names = Vec::new();
    list_files(site, "", &mut names)?;
    names.sort();
    let mut hash = Sha256::new();
    for name in &names {
        let path = site.join(name);
        let bytes = std::fs::read(&path).map_err(|error| Problem::file(&path, &error))?;
        hash.update((name.len() as u64).to_le_bytes());
        hash.update(name);
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    }
    let version: String = hash
        .finalize()
        .iter()
        .take(8)
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let mut addresses = vec!["./".to_owned()];
    addresses.extend(names);
    let files = serde_json::to_string(&addresses)
        .map_err(|error| Problem::new(error.to_string(), "report this as a fault"))?;
    write_text(
        &site.join("service-worker.js"),
        &SERVICE_WORKER
            .replace("@VERSION@", &version)
            .replace("@FILES@", &files),
    )
}

/// The page with script, style, icon and WebAssembly within.
fn one_file(pages: &Path) -> Result<String, Problem> {
    let shell = read_text(&pages.join("index.html"))?;
    let crash = read_text(&pages.join(CRASH))?;
    let bound = read_text(&pages.join(format!("{STEM}.js")))?;
    let later = later_within(&bound, &read_text(&pages.join(LATER))?)?;
    let bound = bound.replacen(&later.import, &later.script, 1);
    if bound.contains("from './snippets") || bound.contains("from \"./snippets") {
        return Err(Problem::new(
            "a dependency brings JavaScript files of its own, which the one-file page cannot hold",
            "leave the dependency out, or teach the one-file page to inline its files",
        ));
    }
    let wasm_path = pages.join(format!("{STEM}_bg.wasm"));
    let wasm = std::fs::read(&wasm_path).map_err(|error| Problem::file(&wasm_path, &error))?;
    let beside = bundle::beside()?
        .into_iter()
        .map(|(address, _)| address)
        .chain([bundle::LIBRARY.to_owned()])
        .map(|address| Ok((read_text(&pages.join(&address))?, address)))
        .map(|read: Result<_, Problem>| read.and_then(|(text, address)| within(&address, &text)))
        .collect::<Result<String, Problem>>()?;
    let part_path = pages.join(LATER_PART);
    let part = std::fs::read(&part_path).map_err(|error| Problem::file(&part_path, &error))?;
    let beside = beside + &within(LATER_PART, &STANDARD.encode(part))?;
    inline(
        &shell,
        &format!("{crash}{bound}{START_ONE_FILE}"),
        &STANDARD.encode(wasm),
        &beside,
        |name| {
            let path = pages.join(name);
            std::fs::read(&path).map_err(|error| Problem::file(&path, &error))
        },
    )
}

/// The loader of the other part as a piece of the one script.
struct Within {
    /// The line that brings the loader in from a file of its own.
    import: String,
    /// What stands in its place.
    script: String,
}

/// Makes the loader of the other part a piece of the script that it belongs to, reading from the page instead of a file.
fn later_within(bound: &str, later: &str) -> Result<Within, Problem> {
    let unfit = |what: &str| {
        Problem::new(
            format!("{LATER}: {what}"),
            "check that wasm_split_helpers and wasm_split_cli_support fit each other",
        )
    };
    let import = bound
        .lines()
        .find(|line| line.starts_with("import * as ") && line.contains(LATER))
        .ok_or_else(|| unfit("the script does not bring it in"))?;
    let name = import
        .split_whitespace()
        .nth(3)
        .ok_or_else(|| unfit("the script brings it in without a name"))?;
    let fetching = format!("fetch(new URL(\"./{LATER_PART}\", import.meta.url))");
    if later.matches(&fetching).count() != 1 || later.matches("export const ").count() != 1 {
        return Err(unfit("it does not load exactly one file"));
    }
    let loader = later
        .split_once("export const ")
        .and_then(|(_, rest)| rest.split_whitespace().next())
        .ok_or_else(|| unfit("what it gives has no name"))?
        .to_owned();
    let body: String = later
        .lines()
        .filter(|line| !line.starts_with("import "))
        .map(|line| format!("{line}\n"))
        .collect();
    let body = body.replacen("export const ", "const ", 1).replacen(
        &fetching,
        &format!("partWithin(\"file:{LATER_PART}\")"),
        1,
    );
    Ok(Within {
        import: format!("{import}\n"),
        script: format!(
            "{PART_WITHIN}const {name} = (() => {{\n{body}return {{ {loader} }};\n}})();\n"
        ),
    })
}

/// A file that the app asks for by its address, as a part of the page that is never run.
fn within(address: &str, text: &str) -> Result<String, Problem> {
    if text.contains("</script") || text.contains("<!--") {
        return Err(Problem::new(
            format!("{address} holds markup that would end its place in the one-file page"),
            "write it without `</script` and `<!--`",
        ));
    }
    Ok(format!(
        "<script type=\"text/plain\" id=\"file:{address}\">{text}</script>\n"
    ))
}

/// Puts the script, the WebAssembly (in base64), the files beside it and everything linked into the shell.
fn inline(
    shell: &str,
    script: &str,
    wasm: &str,
    beside: &str,
    read: impl Fn(&str) -> Result<Vec<u8>, Problem>,
) -> Result<String, Problem> {
    let script = script.replace("</script", "<\\/script");
    let mut styles = Vec::new();
    let mut page = String::new();
    let mut rest = shell;
    while let Some(start) = rest.find("<link ") {
        let end = rest[start..]
            .find('>')
            .map(|length| start + length + 1)
            .ok_or_else(|| shell_problem("a link element has no end"))?;
        let link = &rest[start..end];
        page.push_str(&rest[..start]);
        let target = attribute(link, "href").ok_or_else(|| shell_problem("a link has no href"))?;
        match attribute(link, "rel") {
            Some("stylesheet") => {
                let style = String::from_utf8_lossy(&read(target)?).into_owned();
                page.push_str(&format!("<style>{style}</style>"));
                styles.push(style);
            }
            Some("icon") => page.push_str(&link.replace(
                &format!("href=\"{target}\""),
                &format!(
                    "href=\"data:{};base64,{}\"",
                    crate::serve::media_type(Path::new(target)),
                    STANDARD.encode(read(target)?)
                ),
            )),
            // A page on disk cannot be installed, and has nothing to preload.
            _ => {}
        }
        rest = &rest[end..];
    }
    page.push_str(rest);
    if !page.contains(START) {
        return Err(shell_problem("the start script is missing"));
    }
    let page = page.replacen(START, "", 1);
    let page = with_policy(
        &page,
        &csp::one_file(std::slice::from_ref(&script), &styles),
    )?;
    let within = format!(
        "<script type=\"text/plain\" id=\"lampwright-wasm\">{wasm}</script>\n\
         <script type=\"module\">{script}</script>\n</body>"
    );
    // The app clears the body when it starts; what it asks for later stands in the head.
    Ok(page
        .replacen("</head>", &format!("{beside}</head>"), 1)
        .replacen("</body>", &within, 1))
}

fn with_policy(shell: &str, policy: &str) -> Result<String, Problem> {
    if !shell.contains(CHARSET) {
        return Err(shell_problem("the charset line is missing"));
    }
    Ok(shell.replacen(
        CHARSET,
        &format!("{CHARSET}\n<meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">"),
        1,
    ))
}

fn shell_problem(what: &str) -> Problem {
    Problem::new(
        format!("web/index.html: {what}"),
        format!("keep these lines in web/index.html as they are: {CHARSET} and {START}"),
    )
}

fn attribute<'tag>(tag: &'tag str, name: &str) -> Option<&'tag str> {
    let start = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    tag[start..].split('"').next()
}

fn list_files(folder: &Path, prefix: &str, names: &mut Vec<String>) -> Result<(), Problem> {
    let failed = |error: std::io::Error| Problem::file(folder, &error);
    for entry in std::fs::read_dir(folder).map_err(failed)? {
        let entry = entry.map_err(failed)?;
        let name = format!("{prefix}{}", entry.file_name().to_string_lossy());
        if entry.path().is_dir() {
            list_files(&entry.path(), &format!("{name}/"), names)?;
        } else {
            names.push(name);
        }
    }
    Ok(())
}

fn read_text(path: &Path) -> Result<String, Problem> {
    std::fs::read_to_string(path).map_err(|error| Problem::file(path, &error))
}

fn write_text(path: &Path, text: &str) -> Result<(), Problem> {
    std::fs::write(path, text).map_err(|error| Problem::file(path, &error))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHELL: &str = "<head>\n<meta charset=\"utf-8\">\n\
        <link rel=\"icon\" href=\"i.svg\" type=\"image/svg+xml\">\n\
        <link rel=\"manifest\" href=\"m.webmanifest\">\n\
        <link rel=\"stylesheet\" href=\"s.css\">\n\
        <script type=\"module\" src=\"start.js\"></script>\n</head>\n<body>\n</body>";

    fn inlined(shell: &str, script: &str) -> Result<String, Problem> {
        let beside = within("rules/lw001.md", "# One\n").expect("plain text");
        inline(shell, script, "AAAA", &beside, |name| {
            Ok(format!("[{name}]").into_bytes())
        })
    }

    #[test]
    fn the_one_file_page_asks_for_no_other_file() {
        let page = inlined(SHELL, "go()").expect("the shell is complete");
        assert!(!page.contains("src=\""), "{page}");
        assert!(!page.contains("manifest\""), "{page}");
        assert!(page.contains("<style>[s.css]</style>"), "{page}");
        assert!(page.contains("href=\"data:image/svg+xml;base64,W2kuc3ZnXQ==\""));
        assert!(page.contains("<script type=\"module\">go()</script>"));
        assert!(page.contains("Content-Security-Policy"));
    }

    #[test]
    fn the_one_file_page_holds_what_the_app_asks_for_later() {
        let page = inlined(SHELL, "go()").expect("the shell is complete");
        let wanted = "<script type=\"text/plain\" id=\"file:rules/lw001.md\"># One\n</script>";
        let head = page.split("</head>").next().expect("the shell has a head");
        assert!(head.contains(wanted), "{page}");
        assert!(within("rules/lw001.md", "a </script> b").is_err());
    }

    #[test]
    fn the_loader_of_the_other_part_reads_from_the_page() {
        let bound = "import * as import1 from \"./later.js\"\nlet wasm;\n";
        let later = "import { initSync } from \"./lampwright.js\";\n\
            export const __load = wrap(() => fetch(new URL(\"./split_later.wasm\", import.meta.url)));\n";
        let found = later_within(bound, later).expect("both are as they are generated");
        assert!(bound.contains(&found.import));
        assert!(found.script.contains("const import1 = (() => {"));
        assert!(
            found
                .script
                .contains("partWithin(\"file:split_later.wasm\")")
        );
        assert!(found.script.contains("return { __load };"));
        assert!(!found.script.contains("import {"), "{}", found.script);
        assert!(!found.script.contains("fetch("), "{}", found.script);
        assert!(later_within("let wasm;\n", later).is_err());
        assert!(later_within(bound, "export const __load = 1;\n").is_err());
    }

    #[test]
    fn a_script_cannot_end_its_own_element() {
        let page = inlined(SHELL, "x = '</script>'").expect("the shell is complete");
        assert!(page.contains("x = '<\\/script>'"), "{page}");
    }

    #[test]
    fn a_shell_without_its_start_script_is_refused() {
        assert!(inlined(&SHELL.replace("start.js", "other.js"), "go()").is_err());
    }
}
