//! `coldtrail serve`: the page in a browser. Practice for people at this machine, or a room in which people sit a form.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};
use std::path::PathBuf;

use axum::Router;
use clap::Args;
use scenarios::Library;

use crate::cache::TourCache;
use crate::cli::assess::{form_of, with_own};
use crate::cli::records::OfficeArgs;
use crate::cli::{EXIT_OK, Streams};
use crate::invigilate::proctor;
use crate::page::class::Class;
use crate::page::practice::Page;
use crate::page::room::Room;
use crate::page::{Certificate, Place, class, fingerprint, listen, practice, room, serve};
use crate::records::Office;

/// What `coldtrail serve` is asked.
#[derive(Args, Clone, Debug)]
pub struct ServeArgs {
    /// The port to listen at; 0 takes one that is free
    #[arg(long, default_value_t = 8137)]
    pub port: u16,
    /// Folder to keep practice sessions in; left out, one in the system's data folder
    #[arg(long, value_name = "FOLDER", conflicts_with = "opened")]
    pub sessions: Option<PathBuf>,
    /// Open a room in which people sit this form of an office, by its id or as a TOML file, each with a code
    #[arg(long, value_name = "FORM", group = "opened")]
    pub form: Option<String>,
    /// Open a class of an office in which people practise, each with a code
    #[arg(long, group = "opened")]
    pub class: bool,
    /// Let machines on the network in, over TLS; left out, only this one
    #[arg(long, requires = "opened")]
    pub network: bool,
    /// The address to listen at on the network; left out, all this machine has
    #[arg(long, value_name = "ADDRESS", requires = "network")]
    pub listen: Option<IpAddr>,
    /// A certificate for the network, with those that signed it, in PEM; left out, one of our own
    #[arg(long, value_name = "FILE", requires = "network", requires = "key")]
    pub certificate: Option<PathBuf>,
    /// Its key, in PEM
    #[arg(long, value_name = "FILE", requires = "certificate")]
    pub key: Option<PathBuf>,
    /// Where records are kept
    #[command(flatten)]
    pub at: OfficeArgs,
}

/// Opens the page until it is interrupted.
///
/// # Errors
/// A sentence saying why it cannot be opened.
pub fn run(
    library: &Library,
    args: &ServeArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let opened = match (&args.form, args.class) {
        (None, false) => practise(library, args, streams),
        (Some(form), _) => {
            // A room lasts as long as the program, and so does what it deals from.
            let own = with_own(library, form)?;
            let (library, id) = own.unwrap_or_else(|| (library.clone(), form.clone()));
            let library: &'static Library = Box::leak(Box::new(library));
            let form = form_of(library, &id)?;
            with_codes(args, streams, |office, tours, place| {
                let opened = Room::open((library, form), office, tours, place);
                let name = format!("The room for \u{201c}{}\u{201d}", form.title);
                Ok((name, room::router(opened)))
            })
        }
        (None, true) => with_codes(args, streams, |office, tours, place| {
            let opened = Class::open(library.bank.clone(), office, tours, place);
            Ok(("The class".to_owned(), class::router(opened)))
        }),
    };
    opened.map(|()| (String::new(), EXIT_OK))
}

fn tell(streams: &mut Streams<'_>, said: &str) {
    // Whoever started it may have closed its output.
    let _ = streams.output.write_all(said.as_bytes());
    let _ = streams.output.flush();
}

fn practise(library: &Library, args: &ServeArgs, streams: &mut Streams<'_>) -> Result<(), String> {
    let usual = streams.records.as_ref().map(|one| one.join("sessions"));
    let sessions = args.sessions.clone().or(usual).ok_or(
        "the system names no folder for a program's data: name one with --sessions FOLDER",
    )?;
    let tours = TourCache::new(streams.cache.clone());
    let here = SocketAddr::from((Ipv4Addr::LOCALHOST, args.port));
    let opened = || {
        let (listener, at) = listen(here)?;
        let page = Page::new(library.bank.clone(), sessions, tours, at)?;
        Ok((listener, at, page))
    };
    let (listener, at, page) = opened().map_err(|why: crate::page::NotServed| why.to_string())?;
    tell(
        streams,
        &format!(
            "The page is at http://{at}/ for people at this machine, and for nobody else. Ctrl-C closes it.\n"
        ),
    );
    serve(listener, practice::router(page.into()), None).map_err(|why| why.to_string())
}

/// Opens something of an office to people with codes; `opens` gives what it is called and its addresses.
fn with_codes(
    args: &ServeArgs,
    streams: &mut Streams<'_>,
    opens: impl FnOnce(Office, TourCache, Place) -> Result<(String, Router), String>,
) -> Result<(), String> {
    let office = args.at.office(streams)?;
    let office = office.ok_or("that needs an office: `coldtrail records new` sets one up")?;
    if !proctor::is_set(office.folder()) {
        return Err(proctor::PasswordError::None.to_string());
    }
    let loopback = IpAddr::from(Ipv4Addr::LOCALHOST);
    let every = IpAddr::from(Ipv4Addr::UNSPECIFIED);
    let wanted = match args.network {
        true => args.listen.unwrap_or(every),
        false => loopback,
    };
    let (listener, at) = listen((wanted, args.port).into()).map_err(|why| why.to_string())?;
    let shown = if at.ip().is_unspecified() {
        SocketAddr::new(this_machine().unwrap_or(loopback), at.port())
    } else {
        at
    };
    let certificate = match (&args.certificate, &args.key) {
        _ if !args.network => None,
        (Some(chain), Some(key)) => Some(Certificate::read(chain, key)),
        _ => {
            let names = [shown.ip().to_string(), "localhost".to_owned()];
            Some(Certificate::own(office.folder(), &names))
        }
    };
    let certificate = certificate.transpose().map_err(|why| why.to_string())?;
    let print = certificate.as_ref().map(fingerprint).transpose();
    let print = print.map_err(|why| why.to_string())?;
    let who = match &print {
        None => "people at this machine, and for nobody else".to_owned(),
        Some(print) => format!(
            "every machine that reaches this one; it lets in who has a code or the password. SHA-256 of its certificate: {print}"
        ),
    };
    let place = Place {
        at: shown,
        secure: args.network,
        fingerprint: print,
    };
    let scheme = place.scheme();
    let tours = TourCache::new(streams.cache.clone());
    let (name, router) = opens(office, tours, place)?;
    tell(
        streams,
        &format!("{name} is at {scheme}://{shown}/ for {who}. Ctrl-C closes it.\n"),
    );
    serve(listener, router, certificate).map_err(|why| why.to_string())
}

/// The address that others on the network have for this machine: the one it would send from. Nothing is sent.
fn this_machine() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    // Of the addresses kept for documentation (RFC 5737): nobody is there.
    socket.connect((Ipv4Addr::new(192, 0, 2, 1), 9)).ok()?;
    let ip = socket.local_addr().ok()?.ip();
    (!ip.is_unspecified()).then_some(ip)
}
