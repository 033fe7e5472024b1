//! Lets open pages of an edition that is being worked on notice a new one. Only the edition under `out/watch` gets
//! this; what is published works with scripts off and asks for nothing.

use super::publish::Content;

/// A script beside the front page. It says which edition lies there; a page from the disk may load a script, but no data.
const STAMP: &str = "stamp.js";

/// Puts a stamp of all files beside them, and into every page what looks for another one and loads the page anew.
pub fn add(files: &mut Vec<(String, Content)>) {
    let stamp = stamp(files);
    for (path, content) in files.iter_mut() {
        if let Content::Bytes(bytes) = content
            && path.ends_with(".html")
            && let Some(at) = bytes.windows(END.len()).rposition(|window| window == END)
        {
            let up = "../".repeat(path.matches('/').count());
            bytes.splice(at..at, script(&stamp, &up).into_bytes());
        }
    }
    files.push((STAMP.into(), Content::Bytes(format!("window.editionStamp=\"{stamp}\";\n").into_bytes())));
}

const END: &[u8] = b"</body>";

fn stamp(files: &[(String, Content)]) -> String {
    let mut hasher = blake3::Hasher::new();
    for (path, content) in files {
        hasher.update(path.as_bytes());
        match content {
            Content::Bytes(bytes) => hasher.update(bytes),
            // The name of a developed photo changes with the photo.
            Content::Kept(kept) => hasher.update(kept.as_os_str().as_encoded_bytes()),
        };
    }
    hasher.finalize().to_hex()[..16].to_string()
}

/// Asks again every 0.3 s. While an edition is swapped in the file may be missing, so a failure is no reason to stop.
fn script(stamp: &str, up: &str) -> String {
    format!(
        "<script>(function look(){{var s=document.createElement(\"script\");\
         function again(){{s.remove();setTimeout(look,300)}}\
         s.src=\"{up}{STAMP}?\"+Date.now();s.onerror=again;\
         s.onload=function(){{window.editionStamp===\"{stamp}\"?again():location.reload()}};\
         document.head.appendChild(s)}})()</script>\n"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn files(text: &str) -> Vec<(String, Content)> {
        [("index.html", text), ("colony/leather.html", "<body>b</body>"), ("style/a.css", "c")]
            .map(|(path, text)| (path.to_string(), Content::Bytes(text.as_bytes().to_vec())))
            .into()
    }

    fn text(files: &[(String, Content)], wanted: &str) -> String {
        match &files.iter().find(|(path, _)| path == wanted).expect("the file is there").1 {
            Content::Bytes(bytes) => String::from_utf8(bytes.clone()).expect("text"),
            Content::Kept(_) => unreachable!("made of bytes"),
        }
    }

    #[test]
    fn every_page_knows_the_stamp_and_the_way_to_it() {
        let mut files = files("<body>a</body>");
        add(&mut files);
        let stamp = text(&files, STAMP);
        let stamp = stamp.split('"').nth(1).expect("a stamp");
        for (page, way) in [("index.html", "\"stamp.js?\""), ("colony/leather.html", "\"../stamp.js?\"")] {
            let page = text(&files, page);
            assert!(page.contains(stamp) && page.contains(way) && page.ends_with("</script>\n</body>"), "{page}");
        }
        assert_eq!(text(&files, "style/a.css"), "c");
    }

    #[test]
    fn the_stamp_changes_with_any_page() {
        let (mut one, mut other) = (files("<body>a</body>"), files("<body>a.</body>"));
        add(&mut one);
        add(&mut other);
        assert_ne!(text(&one, STAMP), text(&other, STAMP));
    }
}
