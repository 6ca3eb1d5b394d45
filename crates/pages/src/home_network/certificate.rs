//! The certificate of the laptop's pages: signed by an authority that this laptop makes for itself and keeps.
//!
//! X.509 (RFC 5280). The authority may vouch for private addresses of a home and for nothing else (name constraints),
//! so that whoever takes it into a phone opens nothing to the world. Each start makes a new certificate for the
//! addresses of now, good for 390 days; its key is never written down. Fails where the folder cannot be written, and
//! for kept files that are not what was written.

use std::net::IpAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use benchwork::{Stamp, Trouble};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType,
    ExtendedKeyUsagePurpose, GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose,
    NameConstraints, SanType, date_time_ymd,
};
use rustls::ServerConfig;
use rustls::pki_types::{CertificateDer, PrivateKeyDer, PrivatePkcs8KeyDer};
use sha2::{Digest, Sha256};

use super::{cannot, own_folder, write_own};

const DAY: Duration = Duration::from_secs(86_400);

/// What vouches for the certificate, as a phone may take it in.
#[derive(Debug, Clone)]
pub struct Vouched {
    /// The authority's certificate in DER.
    pub der: Vec<u8>,
    /// Its SHA-256, in pairs of hexadecimal digits as browsers show it.
    pub print: String,
}

/// The certificate with its key.
pub struct Certificate {
    chain: Vec<CertificateDer<'static>>,
    key: PrivateKeyDer<'static>,
}

impl Certificate {
    /// One for these addresses at this time, and what vouches for it.
    pub fn made(
        folder: &Path,
        addresses: &[IpAddr],
        at: &Stamp,
    ) -> Result<(Certificate, Vouched), Trouble> {
        own_folder(folder)?;
        let (key, der) = authority(folder, at)?;
        let print = print_of(&der);
        let issuer = Issuer::new(authority_params(&key, at)?, key);

        let mut own = CertificateParams::default();
        own.distinguished_name = named("firstraster bench");
        own.subject_alt_names = addresses.iter().copied().map(SanType::IpAddress).collect();
        own.key_usages = vec![KeyUsagePurpose::DigitalSignature];
        own.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        own.use_authority_key_identifier_extension = true;
        let today = day_of(at)?;
        // A clock of a phone may lag by a day; browsers take no certificate of more than 398 days.
        own.not_before = today - DAY;
        own.not_after = today + 389 * DAY;
        let own_key = KeyPair::generate().map_err(ours)?;
        let signed = own.signed_by(&own_key, &issuer).map_err(ours)?;
        Ok((
            Certificate {
                chain: vec![signed.der().clone(), CertificateDer::from(der.clone())],
                key: PrivateKeyDer::from(PrivatePkcs8KeyDer::from(own_key.serialize_der())),
            },
            Vouched { der, print },
        ))
    }

    /// How the laptop speaks TLS with it (1.2 and 1.3).
    pub fn config(self) -> Result<Arc<ServerConfig>, Trouble> {
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let mut config = ServerConfig::builder_with_provider(provider)
            .with_safe_default_protocol_versions()
            .map_err(ours)?
            .with_no_client_auth()
            .with_single_cert(self.chain, self.key)
            .map_err(ours)?;
        config.alpn_protocols = vec![b"http/1.1".to_vec()];
        Ok(Arc::new(config))
    }
}

/// The kept authority, or a new one: its key, and its certificate in DER.
fn authority(folder: &Path, at: &Stamp) -> Result<(KeyPair, Vec<u8>), Trouble> {
    let (key_path, path) = (folder.join("authority.key"), folder.join("authority.der"));
    let read = |path: &Path| match std::fs::read(path) {
        Ok(bytes) => Ok(Some(bytes)),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(cannot(path, &error)),
    };
    match (read(&key_path)?, read(&path)?) {
        (Some(key), Some(der)) => {
            let key = KeyPair::try_from(key.as_slice())
                .map_err(|error| unread(&key_path, &error.to_string()))?;
            // The certificate holds the public key as it is written in the key.
            let public = key.public_key_raw();
            if !der.windows(public.len()).any(|part| part == public) {
                return Err(unread(&path, "it belongs to another key"));
            }
            Ok((key, der))
        }
        // A start that was broken off leaves a key alone at most; nobody has trusted it yet.
        (_, None) => {
            let key = KeyPair::generate().map_err(ours)?;
            let signed = authority_params(&key, at)?
                .self_signed(&key)
                .map_err(ours)?;
            write_own(&key_path, &key.serialize_der())?;
            write_own(&path, signed.der())?;
            Ok((key, signed.der().to_vec()))
        }
        (None, Some(_)) => Err(unread(&path, "its key authority.key is gone")),
    }
}

fn authority_params(key: &KeyPair, at: &Stamp) -> Result<CertificateParams, Trouble> {
    let mut own = CertificateParams::default();
    let which = &print_of(key.public_key_raw()).replace(':', "")[..6];
    own.distinguished_name = named(&format!("firstraster bench {which}"));
    own.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    own.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let v4 =
        |address, prefix| GeneralSubtree::IpAddress(CidrSubnet::from_v4_prefix(address, prefix));
    let v6 = |begin: [u8; 2], prefix| {
        let mut address = [0; 16];
        address[..2].copy_from_slice(&begin);
        GeneralSubtree::IpAddress(CidrSubnet::from_v6_prefix(address, prefix))
    };
    own.name_constraints = Some(NameConstraints {
        permitted_subtrees: vec![
            v4([10, 0, 0, 0], 8),
            v4([172, 16, 0, 0], 12),
            v4([192, 168, 0, 0], 16),
            v4([169, 254, 0, 0], 16),
            v4([127, 0, 0, 0], 8),
            v6([0xfc, 0], 7),
            v6([0xfe, 0x80], 10),
            // Where no name is permitted, none is forbidden either: this one stands for all.
            GeneralSubtree::DnsName("localhost".to_owned()),
        ],
        excluded_subtrees: Vec::new(),
    });
    let today = day_of(at)?;
    own.not_before = today - DAY;
    own.not_after = today + 20 * 365 * DAY;
    Ok(own)
}

fn named(name: &str) -> DistinguishedName {
    let mut own = DistinguishedName::new();
    own.push(DnType::CommonName, name);
    own
}

/// The day of a stamp. An offset of the clock moves it by a day at most, which the certificates leave room for.
fn day_of(at: &Stamp) -> Result<time::OffsetDateTime, Trouble> {
    let number = |from: usize, to: usize| at.as_str().get(from..to)?.parse::<u16>().ok();
    match (number(0, 4), number(5, 7), number(8, 10)) {
        (Some(year), Some(month), Some(day)) => {
            Ok(date_time_ymd(i32::from(year), month as u8, day as u8))
        }
        _ => Err(Trouble::ours(format!("{} is no day", at.as_str()))),
    }
}

fn print_of(bytes: &[u8]) -> String {
    let pairs: Vec<String> = Sha256::digest(bytes)
        .iter()
        .map(|byte| format!("{byte:02X}"))
        .collect();
    pairs.join(":")
}

fn unread(path: &Path, why: &str) -> Trouble {
    Trouble::File {
        name: path.display().to_string(),
        text: why.to_owned(),
        hint: "move authority.key and authority.der away; phones that took the old one in are asked anew".to_owned(),
    }
}

fn ours(error: impl std::fmt::Display) -> Trouble {
    Trouble::ours(format!("no certificate could be made: {error}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use rustls::RootCertStore;
    use rustls::client::WebPkiServerVerifier;
    use rustls::client::danger::ServerCertVerifier;
    use rustls::pki_types::{ServerName, UnixTime};

    fn at() -> Stamp {
        Stamp::read("2026-11-30T10:00:00+01:00").expect("a time")
    }

    /// Whether a phone that took the authority in lets this certificate pass under a name, so many days later.
    fn passes(own: &Certificate, vouched: &Vouched, name: &str, days: u64) -> Result<(), String> {
        let mut roots = RootCertStore::empty();
        roots
            .add(CertificateDer::from(vouched.der.clone()))
            .expect("an authority");
        let provider = Arc::new(rustls::crypto::ring::default_provider());
        let verifier = WebPkiServerVerifier::builder_with_provider(Arc::new(roots), provider)
            .build()
            .expect("a verifier");
        let seconds = u64::try_from(at().seconds()).expect("after 1970") + days * DAY.as_secs();
        let now = UnixTime::since_unix_epoch(Duration::from_secs(seconds));
        let name = ServerName::try_from(name.to_owned()).expect("a name");
        verifier
            .verify_server_cert(&own.chain[0], &own.chain[1..], &name, &[], now)
            .map(|_| ())
            .map_err(|error| error.to_string())
    }

    #[test]
    fn a_phone_that_took_the_authority_in_lets_the_pages_pass_and_nothing_else() {
        // The reading of certificates is that of another library (rustls-webpki, after RFC 5280).
        let folder = tempfile::tempdir().expect("a folder");
        let home = [
            IpAddr::from([192, 168, 178, 20]),
            IpAddr::from([10, 0, 0, 7]),
            IpAddr::from([0xfd12, 0x3456, 0, 0, 0, 0, 0, 1]),
        ];
        let (own, vouched) = Certificate::made(folder.path(), &home, &at()).expect("made");
        for address in ["192.168.178.20", "10.0.0.7", "fd12:3456::1"] {
            assert_eq!(passes(&own, &vouched, address, 0), Ok(()));
            assert_eq!(passes(&own, &vouched, address, 388), Ok(()));
        }
        assert!(passes(&own, &vouched, "192.168.178.21", 0).is_err());
        assert!(
            passes(&own, &vouched, "10.0.0.7", 391).is_err(),
            "it is over"
        );

        let world = [IpAddr::from([203, 0, 113, 9])];
        let (own, vouched) = Certificate::made(folder.path(), &world, &at()).expect("made");
        let refused = passes(&own, &vouched, "203.0.113.9", 0);
        assert!(
            refused.is_err_and(|why| why.contains("NameConstraint")),
            "the authority cannot vouch for the world"
        );
    }

    #[test]
    fn the_authority_stays_from_start_to_start() {
        let folder = tempfile::tempdir().expect("a folder");
        let home = [IpAddr::from([192, 168, 1, 2])];
        let (_, first) = Certificate::made(folder.path(), &home, &at()).expect("made");
        let other = [IpAddr::from([192, 168, 1, 77])];
        let (own, second) = Certificate::made(folder.path(), &other, &at()).expect("made");
        assert_eq!(first.print, second.print);
        assert_eq!(passes(&own, &first, "192.168.1.77", 1), Ok(()));
        assert_eq!(first.print.len(), 32 * 3 - 1);
        assert!(own.config().is_ok());
    }

    #[test]
    fn kept_files_that_are_no_authority_are_told_and_stay() {
        let folder = tempfile::tempdir().expect("a folder");
        let home = [IpAddr::from([192, 168, 1, 2])];
        Certificate::made(folder.path(), &home, &at()).expect("made");
        let key = folder.path().join("authority.key");
        let kept = std::fs::read(&key).expect("a key");
        std::fs::write(&key, "no key").expect("written");
        assert!(Certificate::made(folder.path(), &home, &at()).is_err());
        assert_eq!(std::fs::read(&key).expect("a key"), b"no key");
        let other = KeyPair::generate().expect("a key");
        std::fs::write(&key, other.serialize_der()).expect("written");
        assert!(Certificate::made(folder.path(), &home, &at()).is_err());
        std::fs::remove_file(&key).expect("gone");
        assert!(Certificate::made(folder.path(), &home, &at()).is_err());
        std::fs::write(&key, kept).expect("written");
        assert!(Certificate::made(folder.path(), &home, &at()).is_ok());
    }
}
