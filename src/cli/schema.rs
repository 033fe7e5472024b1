//! `polypary schema`: its arguments, and where its JSON goes.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::{SYSTEM, USAGE};
use crate::diagnostic::nearest;
use crate::schema;
use crate::write::texts::write_texts;

#[derive(clap::Args)]
#[command(
    after_help = "An editor that reads YAML by schema completes keys, shows what they mean and marks mistakes while you \
    type. The first line of a file names its schema:\n\n\
    # yaml-language-server: $schema=../schema/log.json"
)]
pub struct SchemaArguments {
    /// The kind of file; without it the kinds are listed
    kind: Option<String>,
    /// Write the schema of every kind (or of the one named) into this folder, as KIND.json
    #[arg(long, value_name = "DIR")]
    into: Option<PathBuf>,
}

pub fn run(arguments: &SchemaArguments) -> ExitCode {
    match work(arguments) {
        Ok(code) => code,
        Err(why) => broken(&why),
    }
}

/// A fault of the program, not of its user.
pub fn broken(why: &str) -> ExitCode {
    eprintln!("the built-in table of schemas is broken: {why}");
    ExitCode::from(SYSTEM)
}

fn work(arguments: &SchemaArguments) -> Result<ExitCode, String> {
    let kinds = schema::kinds()?;
    if let Some(kind) = &arguments.kind {
        let Some(text) = schema::schema(kind)? else {
            let near = nearest(kind, kinds.iter().map(|kind| kind.name.as_str()));
            let hint = near.map_or("`polypary schema` lists them".into(), |near| format!("did you mean `{near}`?"));
            eprintln!("no kind of file is named `{kind}`; {hint}");
            return Ok(ExitCode::from(USAGE));
        };
        return Ok(match &arguments.into {
            Some(folder) => write(folder, &[(format!("{kind}.json"), text)]),
            None => {
                print!("{text}");
                ExitCode::SUCCESS
            }
        });
    }
    if let Some(folder) = &arguments.into {
        return Ok(write(folder, &schema::files()?));
    }
    for kind in kinds {
        println!("{:<10} {}", kind.name, kind.files);
        println!("{:<10} {}", "", kind.about);
    }
    Ok(ExitCode::SUCCESS)
}

fn write(folder: &Path, files: &[(String, String)]) -> ExitCode {
    match write_texts(folder, files) {
        Ok(written) => {
            for path in written {
                println!("{}", path.display());
            }
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("the system refused: {error}");
            ExitCode::from(SYSTEM)
        }
    }
}
