//! Writing a bag: payload copied piece by piece, several files at a time, checksums taken as the bytes pass.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::strip::strip;
use super::{Algorithm, CHUNK, DECLARATION, Summing, Sums, encode_path, for_each_chunk, parse_manifest, sum_up};
use crate::write::publish::inside;

/// What a file of the payload holds.
pub enum Payload<'a> {
    Bytes(Vec<u8>),
    /// Written piece by piece, so that it need not be held as a whole.
    Written(Box<Writes<'a>>),
    /// A file that lies elsewhere, copied byte for byte.
    Copy(PathBuf),
    /// A photo that lies elsewhere, without its metadata but for which way is up.
    Stripped(PathBuf, u8),
}

/// Writes the whole of a file to where it is told.
pub type Writes<'a> = dyn Fn(&mut dyn Write) -> io::Result<()> + Send + Sync + 'a;

/// What differs between two bags, by their lists.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Changed {
    pub added: Vec<String>,
    pub removed: Vec<String>,
    pub altered: Vec<String>,
}

impl Changed {
    pub fn is_empty(&self) -> bool {
        self.added.is_empty() && self.removed.is_empty() && self.altered.is_empty()
    }
}

/// Writes a bag into an empty folder. `payload` has paths below `data/`; `info` is what `bag-info.txt` says, in its
/// order, to which the size of the payload is added; `tags` are further files that stand beside the lists.
///
/// Returns what differs from the bag in `old`, if one stands there.
///
/// # Errors
/// When the system refuses, or a path comes twice or would leave the bag.
pub fn make(
    bag: &Path,
    payload: Vec<(String, Payload<'_>)>,
    info: &[(&str, String)],
    tags: Vec<(String, Vec<u8>)>,
    old: &Path,
) -> io::Result<Option<Changed>> {
    let mut targets: BTreeMap<String, (PathBuf, Payload<'_>)> = BTreeMap::new();
    for (path, content) in payload {
        let path = format!("data/{path}");
        let target = bag.join(inside(&path)?);
        if let Some(folder) = target.parent() {
            fs::create_dir_all(folder)?;
        }
        if targets.insert(path.clone(), (target, content)).is_some() {
            return Err(io::Error::other(format!("two files want to be `{path}`")));
        }
    }
    // In the order of their paths, whichever is finished first.
    let sums: Vec<(String, Sums)> = targets
        .into_par_iter()
        .map(|(path, (target, content))| Ok((path, write_one(&target, &content)?)))
        .collect::<io::Result<_>>()?;
    for algorithm in Algorithm::ALL {
        fs::write(bag.join(format!("manifest-{}.txt", algorithm.name())), lines(&sums, algorithm))?;
    }
    fs::write(bag.join("bagit.txt"), DECLARATION)?;
    let octets: u64 = sums.iter().map(|(_, sums)| sums.bytes).sum();
    let mut text: String = info.iter().map(|(label, value)| format!("{label}: {}\n", one_line(value))).collect();
    text.push_str(&format!("Payload-Oxum: {octets}.{}\n", sums.len()));
    fs::write(bag.join("bag-info.txt"), text)?;
    for (path, bytes) in tags {
        fs::write(bag.join(inside(&path)?), bytes)?;
    }
    let mut tag_sums: Vec<(String, Sums)> = Vec::new();
    for entry in walkdir::WalkDir::new(bag).min_depth(1).max_depth(1).sort_by_file_name() {
        let entry = entry.map_err(io::Error::from)?;
        if entry.file_type().is_file() {
            let name = entry.file_name().to_string_lossy().into_owned();
            tag_sums.push((name, sum_up(entry.path())?));
        }
    }
    for algorithm in Algorithm::ALL {
        fs::write(bag.join(format!("tagmanifest-{}.txt", algorithm.name())), lines(&tag_sums, algorithm))?;
    }
    Ok(changed(old, &sums))
}

fn write_one(target: &Path, content: &Payload) -> io::Result<Sums> {
    let mut summing = Summing::default();
    match content {
        Payload::Bytes(bytes) => {
            summing.take(bytes);
            fs::write(target, bytes)?;
        }
        Payload::Written(write) => {
            let mut file = Summed { file: BufWriter::with_capacity(CHUNK, File::create(target)?), summing };
            write(&mut file)?;
            file.file.flush()?;
            summing = file.summing;
        }
        Payload::Copy(from) => {
            // Copied and never linked: a later edit of the record must not reach into the archive.
            let mut file = File::create(target)?;
            for_each_chunk(from, |chunk| {
                summing.take(chunk);
                file.write_all(chunk)
            })?;
        }
        Payload::Stripped(from, orientation) => {
            let bytes = strip(&fs::read(from)?, *orientation).map_err(io::Error::other)?;
            summing.take(&bytes);
            fs::write(target, bytes)?;
        }
    }
    Ok(summing.finish())
}

/// A file whose bytes are summed up on their way into it.
struct Summed {
    file: BufWriter<File>,
    summing: Summing,
}

impl Write for Summed {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let written = self.file.write(bytes)?;
        self.summing.take(&bytes[..written]);
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

/// Whether a photo can be told apart from its metadata.
pub fn can_strip(photo: &Path) -> bool {
    fs::read(photo).is_ok_and(|bytes| strip(&bytes, 1).is_ok())
}

/// `checksum  path`, one a line, in the order of the paths: what `sha256sum --check` reads.
fn lines(sums: &[(String, Sums)], algorithm: Algorithm) -> String {
    sums.iter().map(|(path, sums)| format!("{}  {}\n", sums.of(algorithm), encode_path(path))).collect()
}

/// A value of `bag-info.txt` stands on one line here.
fn one_line(value: &str) -> String {
    value.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What differs from the list of an older bag; `None` where there is none to compare with.
fn changed(old: &Path, new: &[(String, Sums)]) -> Option<Changed> {
    let algorithm = Algorithm::Sha256;
    let text = fs::read_to_string(old.join(format!("manifest-{}.txt", algorithm.name()))).ok()?;
    let mut before = parse_manifest(&text, algorithm).sums;
    let mut changed = Changed::default();
    for (path, sums) in new {
        match before.remove(path) {
            None => changed.added.push(path.clone()),
            Some(sum) if sum != sums.of(algorithm) => changed.altered.push(path.clone()),
            Some(_) => {}
        }
    }
    changed.removed = before.into_keys().collect();
    Some(changed)
}
