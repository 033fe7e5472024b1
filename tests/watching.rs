//! `journal --watch`, completions and the manual page, as whole runs of the program.

use std::io::Read;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};
use std::{fs, thread};

const TANK: &str = "name: Kitchen lagoon\nstarted: 2024-09-07\nzone: Europe/Lisbon\nwater: 75 L, counted at fill\n";

fn polypary() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_polypary"));
    command.env("POLYPARY_TODAY", "2025-10-05");
    command
}

fn said(arguments: &[&str]) -> String {
    let output = polypary().args(arguments).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// A child that does not outlive a failed test.
struct Watcher(Child);

impl Drop for Watcher {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Waits for what a slow machine may take long to do.
fn until(what: &str, mut is_so: impl FnMut() -> bool) {
    let start = Instant::now();
    while !is_so() {
        assert!(start.elapsed() < Duration::from_secs(120), "{what}: not after two minutes");
        thread::sleep(Duration::from_millis(50));
    }
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_default()
}

fn stamp(edition: &Path) -> String {
    read(&edition.join("stamps.js"))
}

#[test]
fn pages_follow_every_change_and_a_mistake_leaves_the_last_good_ones() {
    let folder = tempfile::tempdir().unwrap();
    let tank = folder.path().join("tank.yaml");
    fs::write(&tank, TANK).unwrap();
    let mut command = polypary();
    command.args(["journal", "--watch"]).arg(folder.path()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut watcher = Watcher(command.spawn().unwrap());
    let edition = folder.path().join("out/watch");
    let front = edition.join("index.html");

    until("the first edition", || read(&front).contains("Kitchen lagoon"));
    let first = stamp(&edition);
    assert!(first.starts_with("window.pageStamps={"), "{first}");
    let own = first.split_once("\"index.html\":\"").and_then(|(_, rest)| rest.split('"').next()).unwrap();
    assert!(read(&front).contains(own), "the page knows its own stamp");

    fs::write(&tank, TANK.replace("Kitchen lagoon", "Cellar lagoon")).unwrap();
    until("the change", || read(&front).contains("Cellar lagoon") && stamp(&edition) != first);
    let second = stamp(&edition);

    fs::write(&tank, TANK.replace("started", "begun")).unwrap();
    thread::sleep(Duration::from_secs(2));
    assert_eq!(stamp(&edition), second, "the last good edition stands");

    fs::write(&tank, TANK.replace("Kitchen lagoon", "Attic lagoon")).unwrap();
    until("the mended record", || read(&front).contains("Attic lagoon"));
    watcher.0.kill().unwrap();
    let mut told = String::new();
    watcher.0.stderr.take().unwrap().read_to_string(&mut told).unwrap();
    assert!(told.contains("tank.yaml:2:1: unknown key `begun`"), "{told}");
    assert!(!folder.path().join("out/journal").exists(), "what is published is not touched");
}

#[test]
fn what_is_published_holds_no_script() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("tank.yaml"), TANK).unwrap();
    said(&["journal", folder.path().to_str().unwrap()]);
    let edition = folder.path().join("out/journal");
    assert!(read(&edition.join("index.html")).contains("Kitchen lagoon"));
    assert!(!read(&edition.join("index.html")).contains("stamps.js") && !edition.join("stamps.js").exists());
}

/// The commands as the program itself lists them.
fn commands() -> Vec<String> {
    let help = said(&["--help"]);
    let list = help.split("Commands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let words = list.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    words.map(|line| line.split_whitespace().next().unwrap().to_string()).collect()
}

#[test]
fn completions_know_every_command_and_parse_in_their_shell() {
    let commands = commands();
    assert!(commands.len() >= 10, "{commands:?}");
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = said(&["completions", shell]);
        for command in commands.iter().map(String::as_str).chain(["as-of", "without-private"]) {
            assert!(script.contains(command), "{shell}: {command}");
        }
    }
    let script = tempfile::NamedTempFile::new().unwrap();
    fs::write(script.path(), said(&["completions", "bash"])).unwrap();
    let asked = format!(
        "source {}; COMP_WORDS=(polypary jour); COMP_CWORD=1; _polypary polypary jour polypary; echo ${{COMPREPLY[@]}}",
        script.path().display()
    );
    let bash = Command::new("bash").args(["-c", &asked]).output().unwrap();
    assert_eq!(String::from_utf8_lossy(&bash.stdout).trim(), "journal", "{}", String::from_utf8_lossy(&bash.stderr));
}

#[test]
fn the_manual_page_has_a_part_for_every_command() {
    let page = said(&["manual"]);
    assert!(page.contains(".TH polypary 1"), "{page}");
    for command in commands().iter().filter(|command| *command != "help") {
        assert!(page.contains(&format!(".SH \"POLYPARY {}\"", command.to_uppercase())), "{command}");
    }
    assert!(page.contains("\\-\\-without\\-private"), "options are in it");
}
