//! What can be set when the collector is started.

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::{Args, Parser, ValueEnum};

use crate::orders::Command;
use crate::store::RUN_LIMIT;

/// Receives the signed logs of an event, keeps them, and serves the app, the
/// results and a live scoreboard.
///
/// Phones keep the app for use without signal only from an https address, and
/// only then offer the camera: everywhere but on this machine itself give a
/// certificate with --tls-cert and --tls-key, or put the collector behind a
/// proxy that has one (and add --behind-proxy).
///
/// How to get a certificate: have a name in the DNS that points to this machine,
/// as scores.example.org, then let a certificate authority that browsers trust
/// issue one for that name. Several do so at no cost by the ACME protocol (RFC
/// 8555); a program for it, run on this machine, proves that the name is yours and
/// leaves two files, the chain for --tls-cert and the key for --tls-key, and
/// renews them. Renewed files are taken up within a minute, without a new start.
/// On a field without internet: get the certificate beforehand, and let the
/// router there give this machine's address for the name. A certificate that you
/// signed yourself works only on phones that were told to trust it.
#[derive(Clone, Debug, Parser)]
#[command(name = "collector", version)]
pub struct Settings {
    /// What to do instead of serving.
    #[command(subcommand)]
    pub command: Option<Command>,
    /// Address and port to listen on.
    #[arg(long, env = "COLLECTOR_ADDRESS", default_value = "127.0.0.1:8505")]
    pub address: SocketAddr,
    /// Where objects are kept: file:///folder, s3://bucket/folder,
    /// gs://bucket/folder or az://container/folder. Several collectors may share
    /// one place. Credentials of clouds come from their usual variables.
    #[arg(
        long,
        global = true,
        env = "COLLECTOR_STORAGE",
        default_value = "file:///var/lib/collector"
    )]
    pub storage: String,
    /// Folder of the built app; without it the app that is inside this program,
    /// where one is.
    #[arg(long, env = "COLLECTOR_APP")]
    pub app: Option<PathBuf>,
    /// A signed event charter, in any form that the app saves, with any number of
    /// its versions; may be given more than once. A later version
    /// counts only with those before it, given here or kept in the storage.
    /// Later versions may also be sent to the running service by the organiser.
    #[arg(long = "charter", env = "COLLECTOR_CHARTERS", value_delimiter = ',')]
    pub charters: Vec<PathBuf>,
    /// Also take games that are set up without a charter, from anyone.
    #[arg(long, env = "COLLECTOR_OPEN_EVENT")]
    pub open_event: bool,
    /// Certificate chain in PEM form, the certificate of this name first.
    #[arg(long, env = "COLLECTOR_TLS_CERT", requires = "tls_key")]
    pub tls_cert: Option<PathBuf>,
    /// Private key of the certificate in PEM form, without a password; only the
    /// collector should be able to read it.
    #[arg(long, env = "COLLECTOR_TLS_KEY", requires = "tls_cert")]
    pub tls_key: Option<PathBuf>,
    /// The address at which people reach this collector, as
    /// https://scores.example; may be given more than once. Where a charter keeps
    /// names short, officials' requests to read them are good for these addresses
    /// only. Without one they are good on this machine, if it listens there only
    /// and no proxy stands before it.
    #[arg(
        long = "own-address",
        env = "COLLECTOR_OWN_ADDRESSES",
        value_delimiter = ','
    )]
    pub own_addresses: Vec<String>,
    /// Another address whose pages may use this collector, as
    /// https://app.example; may be given more than once. Without it only pages
    /// served from here may.
    #[arg(
        long = "allow-origin",
        env = "COLLECTOR_ALLOW_ORIGINS",
        value_delimiter = ','
    )]
    pub origins: Vec<String>,
    /// Take the sender's address from the last X-Forwarded-For of a proxy.
    #[arg(long, env = "COLLECTOR_BEHIND_PROXY")]
    pub behind_proxy: bool,
    /// File with the secret key that signs receipts, 64 hexadecimal digits, for a
    /// storage that has none yet. Without it one is made at the first start and
    /// kept in the storage.
    #[arg(long, env = "COLLECTOR_RECEIPT_KEY")]
    pub receipt_key: Option<PathBuf>,
    /// Seconds between two looks for what other collectors have taken in.
    #[arg(long, env = "COLLECTOR_REFRESH", default_value_t = 10, value_parser = clap::value_parser!(u64).range(1..=3600))]
    pub refresh: u64,
    /// Form of the log on standard error.
    #[arg(long, env = "COLLECTOR_LOG_FORMAT", value_enum, default_value_t = LogFormat::Text)]
    pub log_format: LogFormat,
    /// Bounds.
    #[command(flatten)]
    pub limits: Limits,
}

/// Form of the service's own log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum LogFormat {
    /// For people.
    Text,
    /// One JSON object a line.
    Json,
}

/// Bounds on what is taken.
#[derive(Clone, Copy, Debug, Args)]
pub struct Limits {
    /// Most bytes of one request, at most 67108864.
    #[arg(
        long = "body-limit",
        env = "COLLECTOR_BODY_LIMIT",
        default_value_t = 1 << 20,
        value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(1..=RUN_LIMIT)
    )]
    pub body: usize,
    /// Most MiB of one log; that of a long game takes about a tenth of one.
    #[arg(
        long = "log-size-limit",
        env = "COLLECTOR_LOG_SIZE_LIMIT",
        default_value_t = 4
    )]
    pub log_mib: u64,
    /// MiB of all logs of one event beyond which only keys that its charter
    /// lists may add to it; some thousands of logs of whole games. In memory
    /// they take about four times as much.
    #[arg(
        long = "event-size-limit",
        env = "COLLECTOR_EVENT_SIZE_LIMIT",
        default_value_t = 256
    )]
    pub event_mib: u64,
    /// MiB of records in memory beyond which events that nobody asked for the
    /// longest are let go, to be read again when someone does. In memory they
    /// take some eight times as much, more where games are small.
    #[arg(long = "held-limit", env = "COLLECTOR_HELD_LIMIT", default_value_t = 8)]
    pub held_mib: u64,
    /// Objects of one record in the storage from which on they are merged into
    /// one, at least 2.
    #[arg(
        long = "objects-limit",
        env = "COLLECTOR_OBJECTS_LIMIT",
        default_value_t = 32,
        value_parser = clap::builder::RangedU64ValueParser::<usize>::new().range(2..)
    )]
    pub objects: usize,
    /// Seconds that merged objects are kept beside what they were merged into, so
    /// that collectors that read just then find them. Records to which nothing
    /// was added for five times as long are merged however few their objects are.
    #[arg(
        long = "merge-wait",
        env = "COLLECTOR_MERGE_WAIT",
        default_value_t = 60
    )]
    pub merge_wait: u64,
    /// Most games of one event; keys that its charter lists may open more.
    #[arg(
        long = "games-limit",
        env = "COLLECTOR_GAMES_LIMIT",
        default_value_t = 10_000
    )]
    pub games: usize,
    /// Most logs of one game; keys that the charter lists may open more, up to 64
    /// in all.
    #[arg(
        long = "logs-limit",
        env = "COLLECTOR_LOGS_LIMIT",
        default_value_t = 16
    )]
    pub logs_per_game: usize,
    /// Most requests a minute from one address; 0 for no bound. Many phones
    /// behind one router share an address.
    #[arg(
        long = "rate-limit",
        env = "COLLECTOR_RATE_LIMIT",
        default_value_t = 1200
    )]
    pub requests_per_minute: u32,
    /// Most live scoreboards at a time.
    #[arg(
        long = "live-limit",
        env = "COLLECTOR_LIVE_LIMIT",
        default_value_t = 1000
    )]
    pub live: usize,
    /// Most live scoreboards of one address at a time.
    #[arg(
        long = "live-address-limit",
        env = "COLLECTOR_LIVE_ADDRESS_LIMIT",
        default_value_t = 250
    )]
    pub live_each: usize,
    /// Most MiB of requests under way at a time, in memory until they are whole.
    #[arg(
        long = "bodies-limit",
        env = "COLLECTOR_BODIES_LIMIT",
        default_value_t = 128
    )]
    pub bodies_mib: usize,
    /// Most MiB of requests of one address under way at a time.
    #[arg(
        long = "bodies-address-limit",
        env = "COLLECTOR_BODIES_ADDRESS_LIMIT",
        default_value_t = 32
    )]
    pub bodies_each_mib: usize,
    /// Most connections of one address at a time; none where a proxy stands
    /// before this. Many phones behind one router share an address.
    #[arg(
        long = "connections-address-limit",
        env = "COLLECTOR_CONNECTIONS_ADDRESS_LIMIT",
        default_value_t = 1000
    )]
    pub connections_each: usize,
    /// Most connections at a time, as far as the system lets the process have so
    /// many open files; more are told to come later.
    #[arg(
        long = "connections-limit",
        env = "COLLECTOR_CONNECTIONS_LIMIT",
        default_value_t = 4000
    )]
    pub connections: usize,
    /// Seconds a request may take to arrive.
    #[arg(long = "patience", env = "COLLECTOR_PATIENCE", default_value_t = 30)]
    pub patience: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            body: 1 << 20,
            log_mib: 4,
            event_mib: 256,
            held_mib: 8,
            objects: 32,
            merge_wait: 60,
            games: 10_000,
            logs_per_game: 16,
            requests_per_minute: 1200,
            live: 1000,
            live_each: 250,
            bodies_mib: 128,
            bodies_each_mib: 32,
            connections: 4000,
            connections_each: 1000,
            patience: 30,
        }
    }
}
