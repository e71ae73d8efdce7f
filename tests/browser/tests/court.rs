//! The court and care on a phone: measured, fitted, chalked, checked, printed; and the thunder clock.

#![allow(clippy::unwrap_used)]

use std::fs;
use std::path::PathBuf;

use anyhow::{Context as _, Result, bail};
use base64::Engine as _;
use browser::{Phone, SMALL, Site, TALL, is, starts, with};
use engine::court::{CourtUsed, Fit, FitOptions, Space, SpaceDraft, Units, fit, set_out};
use engine::rules::Edition;
use serde_json::json;

/// A site, and a phone that has it open at an address.
async fn opened(name: &str, size: (u32, u32), at: &str) -> Result<(Site, Phone)> {
    let site = Site::start()?;
    let phone = Phone::new(name, size).await?;
    phone.open(&format!("{}{at}", site.url())).await?;
    phone.until("document.querySelector('h1') !== null").await?;
    Ok((site, phone))
}

/// What the engine itself says of a rectangle under the federation edition.
fn court_of(length: f64, width: f64) -> Fit {
    let space = Space::new(SpaceDraft::rectangle(length, width)).unwrap();
    fit(&space, &Edition::federation(), &FitOptions::default())
}

async fn measure(phone: &Phone, length: &str, width: &str) -> Result<()> {
    phone.fill("textbox", &is("Length"), length).await?;
    phone.fill("textbox", &is("Width"), width).await?;
    phone
        .until("document.querySelector('svg.sketch') !== null")
        .await?;
    phone.picture("measured").await?;
    phone.tap("button", &is("Fit the court")).await
}

/// Both themes: nothing wrong by the checker, and a picture to look at.
async fn judged(phone: &Phone, screen: &str) -> Result<()> {
    phone
        .evaluate("document.querySelector('main')?.scrollTo(0, 0), scrollTo(0, 0), true")
        .await?;
    for (dark, theme) in [(false, "noon"), (true, "night")] {
        phone.prefer(dark).await?;
        phone
            .until(&format!(
                "document.documentElement.dataset.theme === '{theme}'"
            ))
            .await?;
        phone.settled().await?;
        phone.picture(&format!("{screen}-{theme}")).await?;
        phone.audit(&format!("{screen}, {theme}")).await?;
    }
    large_enough(phone, screen).await
}

/// Nothing is too small for a thumb or an eye, and nothing sticks out to the right.
async fn large_enough(phone: &Phone, screen: &str) -> Result<()> {
    match phone.too_small().await? {
        Some(why) => bail!("{screen}: {why}"),
        None => Ok(()),
    }
}

/// Prints to PDF as the browser's own print button would; gives the file and its pages.
async fn print(phone: &Phone, file: &str) -> Result<(PathBuf, usize)> {
    let answer = phone
        .protocol(
            "Page.printToPDF",
            json!({ "preferCSSPageSize": true, "printBackground": false }),
        )
        .await?;
    let data = answer["data"].as_str().context("no PDF")?;
    let bytes = base64::engine::general_purpose::STANDARD.decode(data)?;
    let folder = xtask::place::artefacts().join("paper");
    fs::create_dir_all(&folder)?;
    let path = folder.join(file);
    fs::write(&path, &bytes)?;
    // Page objects lie uncompressed in the browser's PDF files (ISO 32000-1, 7.7.3.3).
    let page = b"/Type /Page\n";
    let pages = bytes.windows(page.len()).filter(|w| w == page).count();
    Ok((path, pages))
}

#[tokio::test(flavor = "multi_thread")]
async fn a_whole_yard_is_fitted_chalked_and_printed() -> Result<()> {
    let (_site, phone) = opened("court", SMALL, "court").await?;
    judged(&phone, "ground-empty").await?;
    measure(&phone, "24", "23").await?;
    let Fit::Fits(fitted) = court_of(24.0, 23.0) else {
        bail!("the yard of this test holds a court")
    };
    assert!(fitted.court().reductions().is_empty());
    phone.read("The full court fits.").await?;
    judged(&phone, "plan").await?;
    let wide = "document.querySelector('.plan-in svg').getBoundingClientRect().width";
    let before = phone.evaluate(wide).await?.as_f64().unwrap();
    phone.tap("button", &is("Larger")).await?;
    phone.tap("button", &is("Larger")).await?;
    phone.picture("plan-larger").await?;
    let after = phone.evaluate(wide).await?.as_f64().unwrap();
    assert!(after > before * 2.0, "{before} {after}");
    large_enough(&phone, "plan, larger").await?;
    phone.tap("button", &is("Whole")).await?;

    let (file, pages) = print(&phone, "court.pdf").await?;
    assert_eq!(pages, 1, "{}", file.display());
    phone
        .tap("button", &is("metres: change to feet and inches"))
        .await?;
    let (file, pages) = print(&phone, "court-feet.pdf").await?;
    assert_eq!(pages, 1, "{}", file.display());
    phone
        .tap("button", &is("feet and inches: change to metres"))
        .await?;

    // Every step in the engine's own words, one tap each; the phone is started again halfway.
    phone.tap("button", &is("Set it out")).await?;
    let steps = set_out(fitted.court());
    judged(&phone, "first-step").await?;
    for (i, step) in steps.iter().enumerate() {
        phone
            .read(&format!("Step {} of {}", i + 1, steps.len()))
            .await?;
        phone.read(&step.text(Units::Metric)).await?;
        if i == 8 {
            judged(&phone, "a-step-with-two-tapes").await?;
            phone.reload().await?;
            phone.read(&step.text(Units::Metric)).await?;
            phone
                .tap("button", &is("metres: change to feet and inches"))
                .await?;
            phone.read(&step.text(Units::FeetInches)).await?;
            phone
                .tap("button", &is("feet and inches: change to metres"))
                .await?;
        }
        phone.tap("button", &is("Done, next")).await?;
    }
    phone.read("Every step is done.").await?;

    // The square leans by 12 cm: by Pythagoras the diagonals of (0.12, 18) are these.
    let side = fitted.court().fair_side().metres();
    let lean = 0.12_f64;
    let from_home = (side + lean).hypot(side);
    let across = (side - lean).hypot(side);
    phone
        .fill(
            "textbox",
            &is("Home to the far fence corner"),
            &format!("{from_home:.2}"),
        )
        .await?;
    phone
        .fill(
            "textbox",
            &is("Right to left fence corner"),
            &format!("{across:.2}"),
        )
        .await?;
    phone.read("the square leans").await?;
    phone.read("12 cm to the left").await?;

    judged(&phone, "diagonals").await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_small_yard_is_reduced_and_the_score_sheet_says_so() -> Result<()> {
    let (site, phone) = opened("small-yard", TALL, "court").await?;
    measure(&phone, "9", "8").await?;
    let Fit::DoesNotFit(short) = court_of(9.0, 8.0) else {
        bail!("nothing fits here")
    };
    phone.read(&short.sentence(Units::Metric)).await?;
    judged(&phone, "does-not-fit").await?;

    phone.tap("button", &is("Back to the ground")).await?;
    measure(&phone, "18,5", "17.5").await?;
    let Fit::Fits(fitted) = court_of(18.5, 17.5) else {
        bail!("a smaller court fits here")
    };
    let court = fitted.court();
    assert!(!court.reductions().is_empty());
    phone
        .read("A smaller court fits; it is no longer within the edition.")
        .await?;
    for reduction in court.reductions() {
        let said = reduction.to_string();
        // The screen begins the sentence with a capital.
        phone.read(said.get(1..).unwrap()).await?;
    }
    judged(&phone, "reduced").await?;
    phone
        .fill(
            "textbox",
            &is("Name of the place, if it has one"),
            "Net Loft Yard",
        )
        .await?;
    phone
        .tap("button", &starts("New game on this court"))
        .await?;

    let used = CourtUsed::new(court, &Edition::federation());
    for sentence in used.sentences() {
        phone.read(&sentence).await?;
    }
    judged(&phone, "new-game-with-court").await?;
    play(&phone).await?;
    let game = phone
        .evaluate("new URLSearchParams(location.search).get('game')")
        .await?;
    let game = game.as_str().context("no game")?.to_owned();
    phone
        .open(&format!("{}statement?game={game}", site.url()))
        .await?;
    phone.read("Net Loft Yard").await?;
    for sentence in used.sentences() {
        phone.read(&sentence).await?;
    }
    phone
        .evaluate("document.querySelector('[aria-label=Court]').scrollIntoView(), true")
        .await?;
    phone.picture("statement-with-court").await?;
    let (file, pages) = print(&phone, "statement.pdf").await?;
    assert!(pages >= 1, "{}", file.display());
    phone.quiet().await
}

/// From the fixture with two named teams to the first pitch.
async fn play(phone: &Phone) -> Result<()> {
    phone.name_teams("Quay Street", "Tram Yard").await?;
    for (first, on) in [(21, "Next card"), (11, "Toss for home")] {
        for place in 1..=5 {
            let field = is(format!("number of hitter {place}"));
            phone
                .fill("textbox", &field, &(first + place - 1).to_string())
                .await?;
        }
        phone.tap("button", &is(on)).await?;
    }
    phone.tap("button", &is("Tram Yard home")).await?;
    phone.tap("button", &is("Play ball")).await?;
    phone.until("location.pathname === '/call'").await?;
    phone.see("button", &is("More")).await?;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn an_outline_is_tapped_and_corrected_by_tape() -> Result<()> {
    let (_site, phone) = opened("outline", SMALL, "court").await?;
    phone.tap("button", &is("Another shape")).await?;
    // An L: in metres of the 40 m grid.
    let corners = [(4, 4), (34, 4), (34, 20), (28, 20), (28, 32), (4, 32)];
    for (x, y) in corners {
        tap_grid(&phone, f64::from(x), f64::from(y)).await?;
    }
    phone.read("6 corners.").await?;
    phone
        .fill("textbox", &is("From corner 1 to 2"), "30.4")
        .await?;
    // The corners after it move along; the sides between them keep their lengths.
    let value = |name: &'static str| {
        let phone = &phone;
        async move {
            let field = phone.see("textbox", &is(name)).await?;
            phone
                .on_node(&field, "function() { return this.value; }", json!([]))
                .await
        }
    };
    assert_eq!(value("From corner 2 to 3").await?, "16");
    assert_eq!(value("From corner 4 to 5").await?, "12");
    phone.tap("button", &is("a post")).await?;
    tap_grid(&phone, 20.0, 18.0).await?;
    phone.see("group", &is("Obstacle 1: post or tree")).await?;
    phone.tap("button", &is("corner 1")).await?;
    judged(&phone, "outline").await?;
    phone.tap("button", &is("Fit the court")).await?;
    phone
        .see("image", &is("Plan of the court, to scale"))
        .await?;
    judged(&phone, "outline-plan").await?;

    // Crossed sides are refused in words.
    phone.tap("button", &is("Ground")).await?;
    phone.tap("button", &is("Start again")).await?;
    for (x, y) in [(4, 4), (34, 32), (34, 4), (4, 32)] {
        phone.tap("button", &is("a corner")).await?;
        tap_grid(&phone, f64::from(x), f64::from(y)).await?;
    }
    phone.tap("button", &is("Fit the court")).await?;
    phone
        .read("Draw the corners in order, without crossing.")
        .await?;
    judged(&phone, "crossed").await?;
    phone.quiet().await
}

/// Touches a point of the grid, from where its lower left and upper right are drawn.
async fn tap_grid(phone: &Phone, x: f64, y: f64) -> Result<()> {
    let at = phone
        .evaluate(&format!(
            "(() => {{ const svg = document.querySelector('svg.sketch'); svg.scrollIntoView({{block: 'center'}}); \
             const p = svg.createSVGPoint(); p.x = {x}; p.y = {}; const q = p.matrixTransform(svg.getScreenCTM()); \
             return [q.x, q.y]; }})()",
            -y
        ))
        .await?;
    let points = json!([{ "x": at[0], "y": at[1] }]);
    phone
        .protocol(
            "Input.dispatchTouchEvent",
            json!({ "type": "touchStart", "touchPoints": points }),
        )
        .await?;
    phone
        .protocol(
            "Input.dispatchTouchEvent",
            json!({ "type": "touchEnd", "touchPoints": [] }),
        )
        .await?;
    // The browser turns a touch into a click a little later.
    tokio::time::sleep(std::time::Duration::from_millis(80)).await;
    Ok(())
}

const CLOCK: &str = "document.querySelector('.clock')?.textContent ?? ''";

/// Seconds on the thunder clock.
async fn left(phone: &Phone) -> Result<u64> {
    let text = phone.evaluate(CLOCK).await?;
    let text = text.as_str().unwrap_or_default();
    let (m, s) = text
        .split_once(':')
        .with_context(|| format!("no clock: {text:?}"))?;
    Ok(m.parse::<u64>()? * 60 + s.parse::<u64>()?)
}

#[tokio::test(flavor = "multi_thread")]
async fn the_thunder_clock_outlives_a_dead_phone() -> Result<()> {
    let (site, mut phone) = opened("thunder", SMALL, "care?show=thunder").await?;
    phone.offline_ready().await?;
    judged(&phone, "clear").await?;
    phone.tap("button", &is("thunder or lightning now")).await?;
    phone.read("Play is stopped.").await?;
    let first = left(&phone).await?;
    assert!((1795..=1800).contains(&first), "{first}");
    judged(&phone, "holding").await?;

    phone.reload().await?;
    phone.until(&format!("({CLOCK}) !== ''")).await?;
    let second = left(&phone).await?;
    assert!(second <= first && second > 1700, "{first} {second}");
    // The browser writes its local storage to the disk every few seconds.
    tokio::time::sleep(std::time::Duration::from_secs(8)).await;
    phone.die_and_start_again().await?;
    phone
        .open(&format!("{}care?show=thunder", site.url()))
        .await?;
    phone.until(&format!("({CLOCK}) !== ''")).await?;
    let third = left(&phone).await?;
    assert!(third < second && third > 1600, "{second} {third}");

    // New thunder starts the 30 minutes again.
    phone.tap("button", &starts("thunder again")).await?;
    let before = format!("{:02}:{:02}", third / 60, third % 60);
    phone
        .until(&format!("({CLOCK}) > '{before}'"))
        .await
        .context("the clock starts again")?;
    assert!(left(&phone).await? > 1790);

    // Half an hour after the last thunder, as the phone's own clock has it.
    phone
        .evaluate(
            "const now = Date.now.bind(Date); Date.now = () => now() + 30 * 60 * 1000 + 1000; true",
        )
        .await?;
    phone
        .read("30 minutes have passed since the last thunder.")
        .await?;
    phone.read("licensed people decide").await?;
    judged(&phone, "over").await?;
    phone.quiet().await
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_looked_at_goes_into_the_log() -> Result<()> {
    let (site, phone) = opened("care", SMALL, "care").await?;
    phone.tap("button", &is("Surface: in order")).await?;
    phone.read("Say who looks").await?;
    phone.fill("textbox", &is("Who looks?"), "Ines").await?;
    phone.tap("button", &is("Surface: in order")).await?;
    phone.read("Ines, ").await?;
    phone
        .tap("button", &is("Water and shade: not in order"))
        .await?;
    phone
        .fill("textbox", &is("What was found?"), "no shade")
        .await?;
    phone
        .tap("button", &is("note: Water and shade is not in order"))
        .await?;
    phone.read("Not in order: Water and shade.").await?;
    judged(&phone, "list").await?;
    phone.tap("button", &is("Heat")).await?;
    phone.fill("textbox", &is("WBGT reading"), "31").await?;
    phone.read("Limit play").await?;
    phone.tap("button", &is("Keep this reading")).await?;
    phone.read("WBGT 31 °C, limit play (Ines)").await?;
    judged(&phone, "heat").await?;
    phone.fill("textbox", &is("WBGT reading"), "hot").await?;
    phone.read("This is no WBGT reading").await?;
    phone.tap("button", &is("Advice")).await?;
    judged(&phone, "reading").await?;

    phone.open(&format!("{}new", site.url())).await?;
    play(&phone).await?;
    phone.tap("button", &is("More")).await?;
    phone.picture("more").await?;
    phone.tap("link", &is("Thunder, care")).await?;
    phone.tap("button", &is("thunder or lightning now")).await?;
    phone.read("Play is stopped.").await?;
    phone.tap("link", &is("Back")).await?;
    phone.read("Stopped: thunder or lightning").await?;
    assert!(left(&phone).await? > 1780);
    judged(&phone, "stopped").await?;
    let wait = phone.see("button", &is("Wait for the 30 minutes")).await?;
    assert!(
        wait.disabled,
        "nobody goes on before the 30 minutes are over"
    );
    phone
        .evaluate(
            "const now = Date.now.bind(Date); Date.now = () => now() + 30 * 60 * 1000 + 1000; true",
        )
        .await?;
    phone.tap("button", &is("Go on playing")).await?;
    phone.gone("button", &is("Go on playing")).await?;

    phone.tap("button", &is("More")).await?;
    phone.tap("link", &is("Score sheet")).await?;
    phone.read("Surface: in order (Ines").await?;
    phone
        .read("Water and shade: no shade: not in order (Ines")
        .await?;
    phone.see("button", &with("Print")).await?;
    phone.quiet().await
}
