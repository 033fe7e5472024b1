//! What a shell and a reader of manuals want to know of the command line, made from the command line itself.

use std::io::{self, Write};
use std::process::ExitCode;

use clap::CommandFactory;

use super::{Arguments, Failure, fail};

/// A script that completes commands and options in a shell.
pub fn completions(shell: clap_complete::Shell) -> ExitCode {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "polypary", &mut script);
    print(&script)
}

/// The manual page, in roff: the program, then each of its commands.
pub fn manual() -> ExitCode {
    let mut command = Arguments::command();
    command.build();
    let mut page = Vec::new();
    match render(&command, &mut page) {
        Ok(()) => print(&page),
        Err(error) => fail(Failure::System(error)),
    }
}

fn render(command: &clap::Command, page: &mut Vec<u8>) -> io::Result<()> {
    let whole = clap_mangen::Man::new(command.clone());
    whole.render_title(page)?;
    whole.render_name_section(page)?;
    whole.render_synopsis_section(page)?;
    whole.render_description_section(page)?;
    for part in command.get_subcommands().filter(|part| !part.is_hide_set() && part.get_name() != "help") {
        writeln!(page, ".SH \"POLYPARY {}\"", part.get_name().to_uppercase())?;
        let one = clap_mangen::Man::new(part.clone().display_name(format!("polypary {}", part.get_name())));
        let mut sections = Vec::new();
        one.render_synopsis_section(&mut sections)?;
        one.render_description_section(&mut sections)?;
        one.render_options_section(&mut sections)?;
        // Each command is a section of one page, so that its own sections become parts of it.
        page.extend(String::from_utf8_lossy(&sections).replace(".SH ", ".SS ").into_bytes());
    }
    whole.render_version_section(page)
}

/// A reader that closes early, as a pager does, is no failure.
fn print(bytes: &[u8]) -> ExitCode {
    match io::stdout().write_all(bytes) {
        Err(error) if error.kind() != io::ErrorKind::BrokenPipe => fail(Failure::System(error)),
        _ => ExitCode::SUCCESS,
    }
}
