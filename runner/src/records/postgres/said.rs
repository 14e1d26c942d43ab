//! Where a server is, and what it says, in sentences of ours.

use std::error::Error as _;
use std::net::IpAddr;

use postgres::config::Host;
use postgres::error::SqlState;
use postgres::{Config, Error};

use super::super::StoreError;

/// Host and database, and no password.
pub fn place(config: &Config) -> String {
    let host = config.get_hosts().first().map_or_else(
        || "localhost".to_owned(),
        |host| match host {
            Host::Tcp(name) => name.clone(),
            #[cfg(unix)]
            Host::Unix(path) => path.display().to_string(),
        },
    );
    let database = config.get_dbname().or(config.get_user()).unwrap_or("");
    format!("{database} on {host}")
}

/// The first host, by name or by address, that is not this machine.
pub fn beyond_this_machine(config: &Config) -> Option<String> {
    let by_name = config.get_hosts().iter().find_map(|host| match host {
        Host::Tcp(name) => {
            let here = name == "localhost"
                || name
                    .parse::<IpAddr>()
                    .is_ok_and(|address| address.is_loopback());
            (!here).then(|| name.clone())
        }
        #[cfg(unix)]
        Host::Unix(_) => None,
    });
    let by_address = config.get_hostaddrs().iter();
    let by_address = by_address.filter(|address| !address.is_loopback());
    by_name.or(by_address.map(IpAddr::to_string).next())
}

/// An error with what is behind it, which the crate's own text leaves out.
pub fn in_full(why: &Error) -> String {
    match why.source() {
        Some(source) => format!("{why}: {source}"),
        None => why.to_string(),
    }
}

/// What the server says, as a sentence of ours.
pub fn of_server(place: &str, why: &Error) -> StoreError {
    let Some(code) = why.code() else {
        let broken = |source: &(dyn std::error::Error + 'static)| source.is::<std::io::Error>();
        return if why.is_closed() || why.source().is_some_and(broken) {
            StoreError::Gone(in_full(why))
        } else {
            StoreError::Other(in_full(why))
        };
    };
    let lost = [
        SqlState::ADMIN_SHUTDOWN,
        SqlState::CRASH_SHUTDOWN,
        SqlState::CANNOT_CONNECT_NOW,
    ];
    let busy = [
        SqlState::LOCK_NOT_AVAILABLE,
        SqlState::T_R_DEADLOCK_DETECTED,
        SqlState::T_R_SERIALIZATION_FAILURE,
        SqlState::TOO_MANY_CONNECTIONS,
    ];
    let forbidden = [
        SqlState::INSUFFICIENT_PRIVILEGE,
        SqlState::READ_ONLY_SQL_TRANSACTION,
    ];
    if lost.contains(code) || code.code().starts_with("08") {
        StoreError::Gone(in_full(why))
    } else if busy.contains(code) {
        StoreError::Busy
    } else if forbidden.contains(code) {
        StoreError::ReadOnly(place.to_owned())
    } else if *code == SqlState::DISK_FULL {
        StoreError::Full
    } else if *code == SqlState::IO_ERROR || code.code().starts_with("XX") {
        StoreError::Damaged(in_full(why))
    } else {
        StoreError::Other(in_full(why))
    }
}
