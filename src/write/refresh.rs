//! Lets open pages of an edition that is being worked on notice that they were written anew. Only the edition under
//! `out/watch` gets this; what is published works with scripts off and asks for nothing.

use std::collections::BTreeMap;

use super::publish::Content;

/// A script beside the front page. It says what each page holds now; a page from the disk may load a script, but no data.
const STAMPS: &str = "stamps.js";

/// Puts the stamps of all pages beside them, and into every page what looks whether its own has changed and loads it anew.
/// A page that stayed as it was keeps its bytes, so that it need not be written again.
pub fn add(files: &mut Vec<(String, Content)>) {
    let shared = shared(files);
    let mut stamps = BTreeMap::new();
    for (path, content) in files.iter_mut() {
        if let Content::Bytes(bytes) = content
            && path.ends_with(".html")
            && let Some(at) = bytes.windows(END.len()).rposition(|window| window == END)
        {
            let stamp = stamp(&shared, bytes);
            bytes.splice(at..at, script(path, &stamp).into_bytes());
            stamps.insert(path.clone(), stamp);
        }
    }
    let stamps = format!("window.pageStamps={};\n", serde_json::json!(stamps));
    files.push((STAMPS.into(), Content::Bytes(stamps.into_bytes())));
}

const END: &[u8] = b"</body>";

/// A hash of what pages show and do not hold: their style and their photos.
fn shared(files: &[(String, Content)]) -> blake3::Hash {
    let mut hasher = blake3::Hasher::new();
    for (path, content) in files {
        match content {
            Content::Bytes(bytes) if path.starts_with("style/") => {
                hasher.update(path.as_bytes()).update(bytes);
            }
            Content::Bytes(_) => {}
            // The name under which a developed photo is kept changes with the photo.
            Content::Kept(kept) => {
                hasher.update(path.as_bytes()).update(kept.as_os_str().as_encoded_bytes());
            }
        }
    }
    hasher.finalize()
}

fn stamp(shared: &blake3::Hash, page: &[u8]) -> String {
    let hash = blake3::Hasher::new().update(shared.as_bytes()).update(page).finalize();
    hash.to_hex()[..16].to_string()
}

/// Asks again every 0.3 s. While an edition is swapped in the file may be missing, so a failure is no reason to stop; nor
/// is a page that is no longer there.
fn script(path: &str, stamp: &str) -> String {
    let up = "../".repeat(path.matches('/').count());
    let own = serde_json::json!(path);
    format!(
        "<script>(function look(){{var s=document.createElement(\"script\");\
         function again(){{s.remove();setTimeout(look,300)}}\
         s.src=\"{up}{STAMPS}?\"+Date.now();s.onerror=again;\
         s.onload=function(){{var now=window.pageStamps[{own}];\
         !now||now===\"{stamp}\"?again():location.reload()}};\
         document.head.appendChild(s)}})()</script>\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A front page, another page, a style sheet and a photo, completed.
    fn edition(front: &str, style: &str, kept: &str) -> Vec<(String, Content)> {
        let bytes = |text: &str| Content::Bytes(text.as_bytes().to_vec());
        let mut files = vec![
            ("index.html".to_string(), bytes(front)),
            ("colony/leather.html".into(), bytes("<body>b</body>")),
            ("style/a.css".into(), bytes(style)),
            ("photos/a-400.jpg".into(), Content::Kept(kept.into())),
        ];
        add(&mut files);
        files
    }

    fn text(files: &[(String, Content)], wanted: &str) -> String {
        match &files.iter().find(|(path, _)| path == wanted).expect("the file is there").1 {
            Content::Bytes(bytes) => String::from_utf8(bytes.clone()).expect("text"),
            Content::Kept(_) => unreachable!("made of bytes"),
        }
    }

    fn stamps(files: &[(String, Content)]) -> BTreeMap<String, String> {
        let script = text(files, STAMPS);
        let json = script.strip_prefix("window.pageStamps=").and_then(|rest| rest.strip_suffix(";\n")).expect("stamps");
        serde_json::from_str(json).expect("JSON")
    }

    #[test]
    fn every_page_knows_its_stamp_and_the_way_to_the_others() {
        let files = edition("<body>a</body>", "c", "kept-1");
        let stamps = stamps(&files);
        assert_eq!(stamps.len(), 2);
        for (path, way) in [("index.html", "\"stamps.js?\""), ("colony/leather.html", "\"../stamps.js?\"")] {
            let page = text(&files, path);
            assert!(page.contains(&stamps[path]) && page.contains(way), "{page}");
            assert!(
                page.contains(&format!("pageStamps[\"{path}\"]")) && page.ends_with("</script>\n</body>"),
                "{page}"
            );
        }
        assert_eq!(text(&files, "style/a.css"), "c");
    }

    #[test]
    fn only_a_page_that_changed_is_another_one() {
        let (one, other) = (edition("<body>a</body>", "c", "kept-1"), edition("<body>a.</body>", "c", "kept-1"));
        assert_ne!(stamps(&one)["index.html"], stamps(&other)["index.html"]);
        assert_eq!(text(&one, "colony/leather.html"), text(&other, "colony/leather.html"));
    }

    #[test]
    fn a_new_style_or_photo_is_seen_by_every_page() {
        let one = stamps(&edition("<body>a</body>", "c", "kept-1"));
        for other in [edition("<body>a</body>", "d", "kept-1"), edition("<body>a</body>", "c", "kept-2")] {
            let other = stamps(&other);
            assert!(one.iter().all(|(path, stamp)| other[path] != *stamp));
        }
    }
}
