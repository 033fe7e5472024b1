//! The chapters of a video as a text track: WebVTT, W3C Candidate Recommendation of 4 April 2019, 4.1 and 4.3.

use crate::record::Video;

/// Each chapter from its beginning to that of the next one, the last to the end of the video. `None` where the end of the last is not known.
pub fn write(video: &Video) -> Option<String> {
    let cues: Option<Vec<String>> = video
        .stretches()
        .into_iter()
        .enumerate()
        .map(|(index, (mark, end))| {
            Some(format!("\n{}\n{} --> {}\n{}\n", index + 1, stamp(mark.seconds), stamp(end?), cue_text(&mark.title)))
        })
        .collect();
    let cues = cues.filter(|cues| !cues.is_empty())?;
    Some(format!("WEBVTT\n{}", cues.concat()))
}

/// `00:12:37.000`; hours of two digits or more.
fn stamp(seconds: u32) -> String {
    format!("{:02}:{:02}:{:02}.000", seconds / 3600, seconds / 60 % 60, seconds % 60)
}

/// A chapter's title is one line, without `&` and `<` of its own; `>` is written out too, so that no `-->` arises.
fn cue_text(title: &str) -> String {
    let line = title.split_whitespace().collect::<Vec<_>>().join(" ");
    line.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The time stamps of 4.1: two digits or more of hours, two of minutes and seconds below 60, three of thousandths.
    #[test]
    fn moments_are_written_in_full() {
        assert_eq!(stamp(757), "00:12:37.000");
        assert_eq!(stamp(3_750), "01:02:30.000");
        assert_eq!(stamp(360_000), "100:00:00.000");
    }

    #[test]
    fn titles_hold_nothing_that_a_track_would_read() {
        assert_eq!(cue_text("Flow --> light\n & <b>more</b>"), "Flow --&gt; light &amp; &lt;b&gt;more&lt;/b&gt;");
    }
}
