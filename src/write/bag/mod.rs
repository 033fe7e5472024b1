//! A bag as RFC 8493 (The BagIt File Packaging Format, V1.0) has it: a folder whose files are listed with their
//! checksums, so that anybody can tell in twenty years whether it still is what it was.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use sha2::{Digest, Sha256, Sha512};

mod check;
mod make;
mod prove;
mod strip;

pub use check::{Checked, Fault, check};
pub use make::{Changed, Payload, can_strip, make};
pub use prove::{Needles, prove};

/// The declaration, byte for byte as section 2.1.1 of RFC 8493 asks for it.
const DECLARATION: &str = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n";

/// The checksums a bag carries: SHA-256 for every tool there is, SHA-512 as the RFC recommends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Algorithm {
    Sha256,
    Sha512,
}

impl Algorithm {
    const ALL: [Algorithm; 2] = [Algorithm::Sha256, Algorithm::Sha512];

    /// The name in the file names of manifests.
    fn name(self) -> &'static str {
        match self {
            Algorithm::Sha256 => "sha256",
            Algorithm::Sha512 => "sha512",
        }
    }

    fn digits(self) -> usize {
        match self {
            Algorithm::Sha256 => 64,
            Algorithm::Sha512 => 128,
        }
    }
}

/// Both checksums of a file, as hexadecimal digits, and its length.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Sums {
    sha256: String,
    sha512: String,
    bytes: u64,
}

impl Sums {
    fn of(&self, algorithm: Algorithm) -> &str {
        match algorithm {
            Algorithm::Sha256 => &self.sha256,
            Algorithm::Sha512 => &self.sha512,
        }
    }
}

/// Sums up bytes as they pass.
#[derive(Default)]
struct Summing {
    sha256: Sha256,
    sha512: Sha512,
    bytes: u64,
}

impl Summing {
    fn take(&mut self, bytes: &[u8]) {
        self.sha256.update(bytes);
        self.sha512.update(bytes);
        self.bytes += bytes.len() as u64;
    }

    fn finish(self) -> Sums {
        Sums { sha256: hex(&self.sha256.finalize()), sha512: hex(&self.sha512.finalize()), bytes: self.bytes }
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// How much of a file is in memory at a time.
const CHUNK: usize = 1 << 17;

/// Hands a file on piece by piece.
fn for_each_chunk(path: &Path, mut visit: impl FnMut(&[u8]) -> io::Result<()>) -> io::Result<()> {
    let mut file = File::open(path)?;
    let mut chunk = vec![0; CHUNK];
    loop {
        match file.read(&mut chunk) {
            Ok(0) => return Ok(()),
            Ok(read) => visit(&chunk[..read])?,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

fn sum_up(path: &Path) -> io::Result<Sums> {
    let mut summing = Summing::default();
    for_each_chunk(path, |chunk| {
        summing.take(chunk);
        Ok(())
    })?;
    Ok(summing.finish())
}

/// The SHA-256 of a file, as hexadecimal digits.
///
/// # Errors
/// When it cannot be read.
pub fn sha256(path: &Path) -> io::Result<String> {
    Ok(sum_up(path)?.sha256)
}

/// A path as a manifest has it: line feeds, carriage returns and percent signs percent-encoded, nothing else
/// (RFC 8493, 2.1.3).
fn encode_path(path: &str) -> String {
    path.replace('%', "%25").replace('\n', "%0A").replace('\r', "%0D")
}

/// The way back. Only what [`encode_path`] encodes is decoded, so that a percent sign written by another program's
/// manifest stays a percent sign.
fn decode_path(path: &str) -> String {
    let mut decoded = String::with_capacity(path.len());
    let mut rest = path;
    while let Some(place) = rest.find('%') {
        decoded.push_str(&rest[..place]);
        let code = rest.get(place + 1..place + 3).map(str::to_ascii_uppercase);
        match code.as_deref() {
            Some("0A") => decoded.push('\n'),
            Some("0D") => decoded.push('\r'),
            Some("25") => decoded.push('%'),
            _ => {
                decoded.push('%');
                rest = &rest[place + 1..];
                continue;
            }
        }
        rest = &rest[place + 3..];
    }
    decoded.push_str(rest);
    decoded
}

/// Why a path of a manifest is not looked at: it could lead out of the bag.
fn refused(path: &str) -> Option<&'static str> {
    let drive = path.as_bytes().get(1) == Some(&b':') && path.as_bytes()[0].is_ascii_alphabetic();
    if path.is_empty() {
        Some("it is empty")
    } else if path.starts_with('/') || path.starts_with('\\') || drive {
        Some("it begins at the root of a disk and not in the bag")
    } else if path.starts_with('~') {
        Some("it begins with `~`, which some systems take for a home folder")
    } else if path.split(['/', '\\']).any(|part| part == "..") {
        Some("it has `..` in it, which leads out of the bag")
    } else if path.split('/').any(|part| part.is_empty() || part == ".") {
        Some("it has an empty part or `.` in it, so that one file could have two names")
    } else if path.contains('\0') {
        Some("it has a zero byte in it")
    } else {
        None
    }
}

/// One manifest as read: path to checksum, and the lines that are none.
#[derive(Debug, Default)]
struct Manifest {
    sums: BTreeMap<String, String>,
    bad: Vec<(usize, String)>,
}

/// Reads `checksum path` lines. A path that is refused or comes twice is a bad line.
fn parse_manifest(text: &str, algorithm: Algorithm) -> Manifest {
    let mut manifest = Manifest::default();
    // Lines may end in LF, CR or both (RFC 8493, 2.1.3).
    let text = text.replace("\r\n", "\n").replace('\r', "\n");
    for (number, line) in text.split('\n').enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        let mut bad = |why: String| manifest.bad.push((number + 1, why));
        let Some((sum, path)) = line.split_once([' ', '\t']) else {
            bad("it is not a checksum and a path".into());
            continue;
        };
        if sum.len() != algorithm.digits() || !sum.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            bad(format!("`{sum}` is not a checksum of {} hexadecimal digits", algorithm.digits()));
            continue;
        }
        // A star before the path is how some checksum tools mark a binary file.
        let typed = path.trim_start_matches([' ', '\t']);
        let path = decode_path(typed.strip_prefix('*').unwrap_or(typed));
        if let Some(why) = refused(&path) {
            bad(format!("the path `{}` is refused: {why}", encode_path(&path)));
            continue;
        }
        if manifest.sums.contains_key(&path) {
            bad(format!("`{}` is listed twice", encode_path(&path)));
            continue;
        }
        manifest.sums.insert(path, sum.to_ascii_lowercase());
    }
    manifest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn checksums_are_those_of_the_standard() {
        // FIPS 180-2, appendix B.1 and C.1: the message "abc".
        let mut summing = Summing::default();
        summing.take(b"a");
        summing.take(b"bc");
        let sums = summing.finish();
        assert_eq!(sums.sha256, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
        assert_eq!(
            sums.sha512,
            "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f"
        );
        assert_eq!(sums.bytes, 3);
    }

    #[test]
    fn paths_are_encoded_as_the_rfc_says_and_come_back() {
        for (path, encoded) in [
            ("data/a b.txt", "data/a b.txt"),
            ("data/100%.txt", "data/100%25.txt"),
            ("data/one\ntwo", "data/one%0Atwo"),
            ("data/one\r\ntwo", "data/one%0D%0Atwo"),
            ("data/%0A", "data/%250A"),
            ("data/ä%", "data/ä%25"),
        ] {
            assert_eq!(encode_path(path), encoded);
            assert_eq!(decode_path(encoded), path);
        }
        assert_eq!(decode_path("data/%0a%2G%e4%"), "data/\n%2G%e4%");
    }

    #[test]
    fn paths_that_lead_elsewhere_are_refused() {
        for path in [
            "",
            "/etc/passwd",
            "\\share\\x",
            "C:\\x",
            "c:/x",
            "~/x",
            "~root/x",
            "data/../../x",
            "..",
            "data\\..\\x",
            "data//x",
            "data/./x",
            "./data/x",
            "data/\0",
        ] {
            assert!(refused(path).is_some(), "{path:?}");
        }
        for path in ["data/a..b", "data/...", "data/~x", "data/ x", "manifest-sha256.txt"] {
            assert_eq!(refused(path), None, "{path:?}");
        }
    }

    #[test]
    fn bad_lines_of_a_manifest_are_told_and_the_rest_is_read() {
        let sum = "0".repeat(64);
        let text = format!(
            "{sum}  data/a\n{sum} *data/b\r\n{sum}\tdata/c%0Ad\n\n{sum}  data/a\n{sum}  ../x\n{sum}  data/%2e%2e/y\nabc  data/d\nword\n"
        );
        let manifest = parse_manifest(&text, Algorithm::Sha256);
        let read: Vec<&str> = manifest.sums.keys().map(String::as_str).collect();
        // `%2e` is not one of the three codes of the RFC: a folder of that very name, and no way out.
        assert_eq!(read, ["data/%2e%2e/y", "data/a", "data/b", "data/c\nd"]);
        let lines: Vec<usize> = manifest.bad.iter().map(|(line, _)| *line).collect();
        assert_eq!(lines, [5, 6, 8, 9], "{:?}", manifest.bad);
    }
}
