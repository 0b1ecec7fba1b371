//! An authority of this machine's own, and a certificate issued by it for the address that the machine has now: devices
//! that trust the authority speak to the workshop encrypted, and their browsers give its page what they keep for such
//! pages.

use std::net::IpAddr;
use std::path::Path;
use std::sync::Arc;

use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DnType, ExtendedKeyUsagePurpose, GeneralSubtree, IsCa, Issuer,
    KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use time::{Duration, OffsetDateTime};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};

use latchwork_files::save;

/// What devices are to trust, and what answers them.
pub(crate) struct Authority {
    /// Its certificate, as PEM (RFC 7468).
    pub(crate) certificate: String,
    /// Answers in its name.
    pub(crate) acceptor: TlsAcceptor,
}

/// How long an authority lasts, and a certificate issued by it (systems refuse those of more than 825 days: from
/// memory).
const AUTHORITY: Duration = Duration::days(3650);
const LEAF: Duration = Duration::days(397);

/// Addresses of homes alone: RFC 1918, 3927 and this machine itself.
const HOMES: [([u8; 4], [u8; 4]); 5] = [
    ([10, 0, 0, 0], [255, 0, 0, 0]),
    ([172, 16, 0, 0], [255, 240, 0, 0]),
    ([192, 168, 0, 0], [255, 255, 0, 0]),
    ([169, 254, 0, 0], [255, 255, 0, 0]),
    ([127, 0, 0, 0], [255, 0, 0, 0]),
];

fn wrong(e: impl std::fmt::Display) -> std::io::Error {
    std::io::Error::other(format!("encryption cannot be set up: {e}"))
}

/// This machine's name on the home network.
pub(crate) fn local_name() -> Option<String> {
    let name = gethostname::gethostname().into_string().ok()?;
    let name = name.split('.').next()?.to_ascii_lowercase();
    let fine = !name.is_empty() && name.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-');
    fine.then(|| format!("{name}.local"))
}

/// The address by itself, where it is not a home address: some networks give out others.
fn odd(address: IpAddr) -> Option<CidrSubnet> {
    let IpAddr::V4(v4) = address else { return Some(CidrSubnet::from_addr_prefix(address, 128)) };
    let home = |(at, mask): &([u8; 4], [u8; 4])| (0..4).all(|k| v4.octets()[k] & mask[k] == at[k]);
    (!HOMES.iter().any(home)).then(|| CidrSubnet::from_addr_prefix(address, 32))
}

/// A new authority that can vouch for this machine's name, for addresses of homes and for the address that the machine
/// has, and for nothing else.
fn made(address: IpAddr) -> Result<(String, KeyPair), rcgen::Error> {
    let mut params = CertificateParams::new(Vec::new())?;
    let name = local_name();
    let called = name.as_deref().unwrap_or("this machine");
    params.distinguished_name.push(DnType::CommonName, format!("Latchwork on {called}"));
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    let homes = HOMES.map(|(at, mask)| GeneralSubtree::IpAddress(CidrSubnet::V4(at, mask)));
    let names = [GeneralSubtree::DnsName(name.unwrap_or_else(|| "localhost".to_string()))];
    params.name_constraints = Some(NameConstraints {
        permitted_subtrees: homes.into_iter().chain(names).chain(odd(address).map(GeneralSubtree::IpAddress)).collect(),
        excluded_subtrees: Vec::new(),
    });
    // A clock that is a little behind must not doubt it.
    (params.not_before, params.not_after) =
        (OffsetDateTime::now_utc() - Duration::DAY, OffsetDateTime::now_utc() + AUTHORITY);
    let key = KeyPair::generate()?;
    Ok((params.self_signed(&key)?.pem(), key))
}

impl Authority {
    /// The authority kept in a folder that only its owner may read, or a new one; and a certificate issued by it.
    ///
    /// # Errors
    /// When it cannot be made or kept.
    pub(crate) fn of(place: &Path, address: IpAddr) -> std::io::Result<Authority> {
        // One that is for an address of its own is kept by itself.
        let name = odd(address).map_or("authority".to_string(), |_| format!("authority-{address}").replace(':', "-"));
        let (at, at_key) = (place.join(format!("{name}.pem")), place.join(format!("{name}.key")));
        let kept = std::fs::read_to_string(&at).ok().zip(std::fs::read_to_string(&at_key).ok());
        let kept = kept.and_then(|(pem, key)| Some((pem, KeyPair::from_pem(&key).ok()?)));
        let (certificate, key) = match kept {
            Some(kept) => kept,
            None => {
                let (pem, key) = made(address).map_err(wrong)?;
                save(&at_key, key.serialize_pem().as_bytes())?;
                save(&at, pem.as_bytes())?;
                (pem, key)
            }
        };
        let acceptor = leaf(&certificate, key, address).map_err(wrong)?;
        Ok(Authority { certificate, acceptor })
    }
}

type Wrong = Box<dyn std::error::Error>;

/// What answers at an address, by a certificate that the authority vouches for.
fn leaf(authority: &str, key: KeyPair, address: IpAddr) -> Result<TlsAcceptor, Wrong> {
    let issuer = Issuer::from_ca_cert_pem(authority, key)?;
    let mut params = CertificateParams::new(local_name().into_iter().collect::<Vec<_>>())?;
    params.subject_alt_names.push(SanType::IpAddress(address));
    params.distinguished_name.push(DnType::CommonName, "Latchwork");
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    params.use_authority_key_identifier_extension = true;
    (params.not_before, params.not_after) =
        (OffsetDateTime::now_utc() - Duration::DAY, OffsetDateTime::now_utc() + LEAF);
    let own = KeyPair::generate()?;
    let certificate = params.signed_by(&own, &issuer)?;
    let chain = vec![certificate.der().clone(), CertificateDer::from_pem_slice(authority.as_bytes())?];
    let secret = PrivateKeyDer::from_pem_slice(own.serialize_pem().as_bytes())?;
    let config = ServerConfig::builder().with_no_client_auth().with_single_cert(chain, secret)?;
    Ok(TlsAcceptor::from(Arc::new(config)))
}
