//! `polypary schema`, and the schemas beside the example record. What an independent validator says of them: `check.py`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use polypary::schema;

fn example() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("example-tank")
}

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_polypary")).arg("schema").args(arguments).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

#[test]
fn the_kinds_are_listed_and_each_is_printed() {
    let list = run(&[]);
    assert!(list.status.success());
    let names: Vec<String> = schema::kinds().unwrap().into_iter().map(|kind| kind.name).collect();
    let known = [
        "captions",
        "colony",
        "equipment",
        "light",
        "log",
        "readings",
        "spec",
        "story",
        "supply",
        "tank",
        "theme",
        "upkeep",
        "video",
    ];
    assert_eq!(names, known);
    for name in &names {
        assert!(said(&list).lines().any(|line| line.starts_with(name.as_str())), "{name}");
        let printed = run(&[name]);
        assert_eq!(said(&printed), schema::schema(name).unwrap().unwrap());
    }
}

#[test]
fn a_kind_that_is_not_there_is_told_with_the_nearest() {
    let output = run(&["colonies"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.contains("no kind of file is named `colonies`"), "{told}");
    let output = run(&["lgo"]);
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.contains("did you mean `log`?"), "{told}");
}

#[test]
fn a_folder_takes_all_of_them_or_one() {
    let folder = tempfile::tempdir().unwrap();
    let into = folder.path().join("schema");
    let one = run(&["log", "--into", into.to_str().unwrap()]);
    assert!(one.status.success());
    assert_eq!(fs::read_dir(&into).unwrap().count(), 1);
    let all = run(&["--into", into.to_str().unwrap()]);
    assert!(all.status.success());
    for (name, text) in schema::files().unwrap() {
        assert_eq!(fs::read_to_string(into.join(name)).unwrap(), text);
    }
}

/// `REWRITE_EXPECTED=1` writes the example's schemas anew.
#[test]
fn the_schemas_of_the_example_are_what_the_program_writes() {
    let folder = example().join("schema");
    if std::env::var_os("REWRITE_EXPECTED").is_some() {
        assert!(run(&["--into", folder.to_str().unwrap()]).status.success());
    }
    let all = schema::files().unwrap();
    for (name, text) in &all {
        assert_eq!(&fs::read_to_string(folder.join(name)).unwrap_or_default(), text, "example-tank/schema/{name}");
    }
    assert_eq!(fs::read_dir(folder).unwrap().count(), all.len(), "a schema is left over");
}

/// The first line of each YAML file leads to a schema that is there, and of the file's own kind.
#[test]
fn every_file_of_the_example_names_its_schema() {
    let mut named = 0;
    for (path, file) in polypary::read::all_files(&example()).unwrap() {
        if !path.ends_with(".yaml") {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        let first = text.lines().next().unwrap();
        let schema =
            first.strip_prefix("# yaml-language-server: $schema=").unwrap_or_else(|| panic!("{path}: {first}"));
        assert!(file.parent().unwrap().join(schema).is_file(), "{path}: {schema}");
        let kind = match path.rsplit('/').nth(1).unwrap_or_default() {
            _ if path == "tank.yaml" || path.ends_with("/tank.yaml") => "tank",
            "supplies" => "supply",
            "colonies" => "colony",
            "photos" => "captions",
            folder => folder,
        };
        assert!(schema.ends_with(&format!("schema/{kind}.json")), "{path}: {schema}");
        named += 1;
    }
    assert!(named > 70, "{named}");
}

#[test]
fn a_new_record_names_its_schemas_too() {
    let folder = tempfile::tempdir().unwrap();
    let record = folder.path().join("reef");
    let begun = Command::new(env!("CARGO_BIN_EXE_polypary")).arg("begin").arg(&record).output().unwrap();
    assert!(begun.status.success());
    let mut named = 0;
    for (path, file) in polypary::read::all_files(&record).unwrap() {
        if path.ends_with(".yaml") {
            let text = fs::read_to_string(&file).unwrap();
            let schema = text.lines().next().unwrap().strip_prefix("# yaml-language-server: $schema=").unwrap();
            assert!(file.parent().unwrap().join(schema).is_file(), "{path}: {schema}");
            named += 1;
        }
    }
    assert_eq!(named, 4);
}
