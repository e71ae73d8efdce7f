//! A phone: one browser with a profile of its own, which outlives the browser's death.

use std::cell::Cell;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result, bail};
use fantoccini::{Client, ClientBuilder};
use hyper_util::client::legacy::connect::HttpConnector;
use tempfile::TempDir;
use xtask::place;

use crate::driver::{Browser, Driver};

/// Width and height in CSS pixels.
pub type Size = (u32, u32);
/// The smallest phone the app is made for.
pub const SMALL: Size = (360, 740);
/// A common phone.
pub const TALL: Size = (390, 844);
/// A desktop window.
pub const WIDE: Size = (1280, 800);

/// A browser of a phone's size, and the folder that it keeps everything in.
#[derive(Debug)]
pub struct Phone {
    browser: Browser,
    /// None only between a death and the next start.
    driver: Option<Driver>,
    client: Client,
    profile: TempDir,
    size: Size,
    film: Option<PathBuf>,
    name: String,
    pictures: Cell<usize>,
    taps: Cell<usize>,
}

impl Phone {
    /// A new phone that has never seen the app. Its name is the folder of its pictures.
    ///
    /// # Errors
    /// When the driver or the browser cannot be started.
    pub async fn new(name: &str, size: Size) -> Result<Self> {
        Self::with_camera(name, size, None).await
    }

    /// As [`Phone::new`], with another browser.
    ///
    /// # Errors
    /// As [`Phone::new`].
    pub async fn with(browser: Browser, name: &str, size: Size) -> Result<Self> {
        Self::made(browser, name, size, None).await
    }

    /// As [`Phone::new`], with a camera that sees a film: raw video (YUV4MPEG2), over and over, which
    /// has to be there only when the camera is used. Without a film there is no camera.
    ///
    /// # Errors
    /// As [`Phone::new`].
    pub async fn with_camera(name: &str, size: Size, film: Option<&Path>) -> Result<Self> {
        Self::made(Browser::Chromium, name, size, film).await
    }

    async fn made(browser: Browser, name: &str, size: Size, film: Option<&Path>) -> Result<Self> {
        let driver = Driver::start(browser)?;
        let film = film.map(Path::to_path_buf);
        let profile = tempfile::Builder::new()
            .prefix("chalkbook-phone-")
            .tempdir()?;
        let client = connect(browser, &driver, &profile, size, film.as_deref()).await?;
        let phone = Self {
            browser,
            driver: Some(driver),
            client,
            profile,
            size,
            film,
            name: name.to_owned(),
            pictures: Cell::new(0),
            taps: Cell::new(0),
        };
        let _ = fs::remove_dir_all(phone.folder());
        Ok(phone)
    }

    pub(crate) fn browser(&self) -> Browser {
        self.browser
    }

    pub(crate) fn client(&self) -> &Client {
        &self.client
    }

    /// Opens an address and waits until its page is loaded.
    ///
    /// # Errors
    /// When it cannot be reached.
    pub async fn open(&self, url: &str) -> Result<()> {
        self.client
            .goto(url)
            .await
            .with_context(|| url.to_owned())?;
        Ok(())
    }

    /// Loads the page again.
    ///
    /// # Errors
    /// When it cannot be reached.
    pub async fn reload(&self) -> Result<()> {
        // Firefox's driver loads past the service worker, as nobody does who pulls the page down.
        if self.browser == Browser::Firefox {
            return self.open(&self.address().await?).await;
        }
        self.client.refresh().await?;
        Ok(())
    }

    /// Waits until the app says that it is all kept on the phone.
    ///
    /// # Errors
    /// When that does not come about.
    pub async fn offline_ready(&self) -> Result<()> {
        self.until("document.documentElement.dataset.offline === 'ready'")
            .await
    }

    /// Looks for a new version of the app and waits until it is complete on the phone.
    ///
    /// # Errors
    /// When none comes.
    pub async fn new_version_waits(&self) -> Result<()> {
        self.evaluate("navigator.serviceWorker.ready.then(r => r.update()).then(() => true)")
            .await?;
        self.until("document.documentElement.dataset.update === 'waiting'")
            .await
    }

    /// Waits until an expression holds in the page.
    ///
    /// # Errors
    /// When it does not within 20 s.
    pub async fn until(&self, expression: &str) -> Result<()> {
        let from = Instant::now();
        // A page between two loads answers with an error; ask again.
        while !self
            .evaluate(expression)
            .await
            .is_ok_and(|value| value == true)
        {
            if from.elapsed() > Duration::from_secs(20) {
                bail!(
                    "`{expression}` did not come to hold; the page says:\n{}",
                    self.text().await?
                );
            }
            tokio::time::sleep(Duration::from_millis(25)).await;
        }
        Ok(())
    }

    /// Kills the browser at once, as a dead battery would (the system's own buffers survive), and
    /// starts it again with everything it had kept.
    ///
    /// # Errors
    /// When it does not start again.
    pub async fn die_and_start_again(&mut self) -> Result<()> {
        self.driver = None;
        let driver = self.driver.insert(Driver::start(self.browser)?);
        let film = self.film.as_deref();
        self.client = connect(self.browser, driver, &self.profile, self.size, film).await?;
        Ok(())
    }

    /// Opens a second tab and turns to it; gives the first one's handle.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn second_tab(&self) -> Result<fantoccini::wd::WindowHandle> {
        let first = self.client.window().await?;
        let second = self.client.new_window(true).await?;
        self.client.switch_to_window(second.handle).await?;
        Ok(first)
    }

    /// The tab turned to.
    ///
    /// # Errors
    /// When it is closed.
    pub async fn tab(&self) -> Result<fantoccini::wd::WindowHandle> {
        Ok(self.client.window().await?)
    }

    /// The address of the page.
    ///
    /// # Errors
    /// When the browser is gone.
    pub async fn address(&self) -> Result<String> {
        Ok(self.client.current_url().await?.to_string())
    }

    /// Turns to a tab.
    ///
    /// # Errors
    /// When it is closed.
    pub async fn turn_to(&self, tab: fantoccini::wd::WindowHandle) -> Result<()> {
        self.client.switch_to_window(tab).await?;
        Ok(())
    }

    /// Closes the tab turned to.
    ///
    /// # Errors
    /// When the browser refuses.
    pub async fn close_tab(&self) -> Result<()> {
        self.client.close_window().await?;
        Ok(())
    }

    /// Its name.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Touches so far.
    #[must_use]
    pub fn taps(&self) -> usize {
        self.taps.get()
    }

    pub(crate) fn count_tap(&self) {
        self.taps.set(self.taps.get() + 1);
    }

    fn folder(&self) -> PathBuf {
        place::artefacts().join(&self.name)
    }

    /// Takes a picture of the screen into the folder of artefacts, numbered in order.
    ///
    /// # Errors
    /// When it cannot be taken or written.
    pub async fn picture(&self, step: &str) -> Result<PathBuf> {
        let number = self.pictures.get() + 1;
        self.pictures.set(number);
        let (width, height) = self.size;
        let file = self
            .folder()
            .join(format!("{number:02}-{step}-{width}x{height}.png"));
        fs::create_dir_all(self.folder())?;
        fs::write(&file, self.client.screenshot().await?)?;
        Ok(file)
    }

    /// The screen as a picture, PNG.
    ///
    /// # Errors
    /// When it cannot be taken.
    pub async fn photograph(&self) -> Result<Vec<u8>> {
        Ok(self.client.screenshot().await?)
    }

    /// Checks that the page complained of nothing.
    ///
    /// # Errors
    /// When it did; the message has every complaint.
    pub async fn quiet(&self) -> Result<()> {
        let complaints = self.complaints().await?;
        if complaints.is_empty() {
            return Ok(());
        }
        bail!("the page complained:\n{}", complaints.join("\n"));
    }
}

async fn connect(
    browser: Browser,
    driver: &Driver,
    profile: &TempDir,
    size: Size,
    film: Option<&Path>,
) -> Result<Client> {
    ClientBuilder::new(HttpConnector::new())
        .capabilities(browser.capabilities(profile.path(), size, film))
        .connect(&driver.url())
        .await
        .context("the browser did not start")
}
