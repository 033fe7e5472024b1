//! The small picture a browser puts beside a page's name: a polyp from above, in the theme's own colours.

use std::fmt::Write;

use super::theme::{Mode, Theme};

/// Where it lies below the edition's root.
pub const PATH: &str = "style/mark.svg";

/// Eight arms round a mouth, as an octocoral has.
pub fn svg(theme: &Theme) -> String {
    let colour = |mode, role| theme.colour(mode, role).unwrap_or("#000");
    let mut svg = String::from("<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 32 32\"><style>");
    for (mode, before, after) in [(Mode::Light, "", ""), (Mode::Dark, "@media(prefers-color-scheme:dark){", "}")] {
        let (paper, arms, mouth) = (colour(mode, "paper"), colour(mode, "link"), colour(mode, "b"));
        let _ = write!(svg, "{before}.p{{fill:{paper}}}.a{{fill:{arms}}}.m{{fill:{mouth}}}{after}");
    }
    svg.push_str("</style><rect class=\"p\" width=\"32\" height=\"32\" rx=\"6\"/><g class=\"a\">");
    for arm in 0..8 {
        let turn = f64::from(arm) * 45.0;
        let _ = write!(svg, "<ellipse cx=\"16\" cy=\"7.6\" rx=\"2.5\" ry=\"5\" transform=\"rotate({turn} 16 16)\"/>");
    }
    svg.push_str("</g><circle class=\"m\" cx=\"16\" cy=\"16\" r=\"3.4\"/></svg>\n");
    svg
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_wears_the_colours_of_its_theme() {
        let theme = Theme::load("nightdive", &[]).expect("the built-in theme loads");
        let svg = svg(&theme);
        for mode in [Mode::Light, Mode::Dark] {
            let arms = theme.colour(mode, "link").expect("the theme has a colour for links");
            assert!(svg.contains(&format!(".a{{fill:{arms}}}")), "{svg}");
        }
        assert_eq!(svg.matches("<ellipse").count(), 8);
        assert!(closes(&svg), "every tag is closed");
    }

    /// As many tags open as close.
    fn closes(svg: &str) -> bool {
        svg.matches('<').count() == svg.matches("/>").count() + 2 * svg.matches("</").count()
    }
}
