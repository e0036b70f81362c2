//! Prints papers with the real browser: headless Chromium, to PDF, on A4 and on Letter.

use std::path::{Path, PathBuf};
use std::process::Command;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sheet {
    A4,
    Letter,
}

impl Sheet {
    pub const BOTH: [Sheet; 2] = [Sheet::A4, Sheet::Letter];

    /// Width and height: ISO 216, 210 x 297 mm; ANSI/ASME Y14.1, 8.5 x 11 inches. In points of 1/72 inch.
    fn points(self) -> (f64, f64) {
        match self {
            Sheet::A4 => (210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0),
            Sheet::Letter => (8.5 * 72.0, 11.0 * 72.0),
        }
    }

    /// What the margins of the papers (14 mm left and right) leave, in CSS pixels of 1/96 inch.
    fn print_width(self) -> u32 {
        ((self.points().0 / 72.0 - 28.0 / 25.4) * 96.0) as u32
    }

    fn css(self) -> &'static str {
        match self {
            Sheet::A4 => "A4",
            Sheet::Letter => "letter",
        }
    }
}

/// The browser; none where it is not installed, which fails where `CI` is set.
pub fn browser() -> Option<PathBuf> {
    let found = ["chromium", "chromium-browser"].iter().find_map(|name| {
        let paths = std::env::var_os("PATH")?;
        std::env::split_paths(&paths)
            .map(|p| p.join(name))
            .find(|p| p.is_file())
    });
    assert!(
        found.is_some() || std::env::var_os("CI").is_none(),
        "chromium is not installed; tests/run installs it"
    );
    found
}

fn run(browser: &Path, folder: &Path, args: &[&str], page: &Path) -> Vec<u8> {
    let out = Command::new(browser)
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-dev-shm-usage",
            "--no-first-run",
            "--hide-scrollbars",
        ])
        .arg(format!(
            "--user-data-dir={}",
            folder.join("profile").display()
        ))
        .args(args)
        .arg(format!("file://{}", page.display()))
        .output()
        .expect("the browser starts");
    assert!(
        out.status.success(),
        "{}",
        String::from_utf8_lossy(&out.stderr)
    );
    out.stdout
}

/// Finds elements that reach beyond the page or hold more than they show, and writes them into the title.
const MEASURE: &str = r#"<script>
addEventListener("load", () => {
  const wide = document.documentElement.clientWidth;
  const out = [];
  for (const e of document.querySelectorAll("body *")) {
    const name = e.tagName + "." + (e.getAttribute("class") || "") + ": " + e.textContent.trim().slice(0, 40);
    const box = e.getBoundingClientRect();
    if (box.width > 0 && (box.right > wide + 1 || box.left < -1)) out.push("beyond the page: " + name);
    if (e instanceof HTMLElement && getComputedStyle(e).display !== "inline" && e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0) out.push("too full: " + name);
  }
  document.title = "measured " + JSON.stringify(out);
});
</script>"#;

/// Prints a page and says what is wrong with it: what overflows, a page of another size. Gives the text of the PDF.
pub fn print(browser: &Path, html: &str, sheet: Sheet) -> Result<String, String> {
    let folder = tempfile::tempdir().expect("a folder for the print");
    let at = |name: &str| folder.path().join(name);
    // On paper the rules for print hold; on the screen they are held against the same width.
    let measured = html
        .replace("@media print", "@media all")
        .replace("</head>", &format!("{MEASURE}</head>"));
    std::fs::write(at("measured.html"), measured).expect("a page to measure");
    let window = format!("--window-size={},1000", sheet.print_width());
    let dom = String::from_utf8_lossy(&run(
        browser,
        folder.path(),
        &["--dump-dom", &window],
        &at("measured.html"),
    ))
    .into_owned();
    let title = dom
        .split("<title>")
        .nth(1)
        .and_then(|t| t.split("</title>").next())
        .unwrap_or_default();
    if title != "measured []" {
        return Err(format!("{sheet:?}: {title}"));
    }
    let sized = html.replace(
        "<style>",
        &format!("<style>\n@page {{ size: {}; }}", sheet.css()),
    );
    std::fs::write(at("page.html"), sized).expect("a page to print");
    let pdf = at("page.pdf");
    run(
        browser,
        folder.path(),
        &[
            "--no-pdf-header-footer",
            &format!("--print-to-pdf={}", pdf.display()),
        ],
        &at("page.html"),
    );
    let (wide, high) = sheet.points();
    let info = poppler("pdfinfo", &[pdf.as_os_str()]);
    let size = info
        .lines()
        .find_map(|l| l.strip_prefix("Page size:"))
        .unwrap_or_default();
    let numbers: Vec<f64> = size
        .split_whitespace()
        .filter_map(|w| w.parse().ok())
        .collect();
    if numbers.len() != 2 || (numbers[0] - wide).abs() > 1.5 || (numbers[1] - high).abs() > 1.5 {
        return Err(format!("{sheet:?}: the page is {size}"));
    }
    Ok(poppler(
        "pdftotext",
        &["-layout".as_ref(), pdf.as_os_str(), "-".as_ref()],
    ))
}

fn poppler(program: &str, args: &[&std::ffi::OsStr]) -> String {
    let out = Command::new(program)
        .args(args)
        .output()
        .unwrap_or_else(|e| panic!("{program}: {e}; tests/run installs it"));
    assert!(
        out.status.success(),
        "{program}: {}",
        String::from_utf8_lossy(&out.stderr)
    );
    String::from_utf8_lossy(&out.stdout).into_owned()
}
