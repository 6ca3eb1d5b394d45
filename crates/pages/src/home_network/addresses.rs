//! The addresses of a home network, and those of this computer in it.
//!
//! A home network has the private addresses of RFC 1918, the link-local ones of RFC 3927, and in IPv6 the unique
//! local ones of RFC 4193 and the link-local ones of RFC 4291. Whatever comes from elsewhere is not let in. Fails
//! where the system does not tell its addresses.

use std::net::{IpAddr, Ipv4Addr, SocketAddr, UdpSocket};

use benchwork::Trouble;

/// Whether an address is one of a home network, or of this computer.
pub fn is_of_the_home(address: IpAddr) -> bool {
    match address {
        IpAddr::V4(own) => own.is_private() || own.is_link_local() || own.is_loopback(),
        IpAddr::V6(own) => match own.to_ipv4_mapped() {
            Some(inner) => is_of_the_home(IpAddr::V4(inner)),
            None => own.is_loopback() || own.is_unique_local() || own.is_unicast_link_local(),
        },
    }
}

/// The addresses of this computer in its home network: the one by which others are reached, then the other IPv4 ones,
/// then unique local IPv6 ones. Link-local addresses of IPv6 are left out: a browser cannot name the wire they need.
pub fn own_addresses() -> Result<Vec<IpAddr>, Trouble> {
    let told = if_addrs::get_if_addrs().map_err(|error| Trouble::File {
        name: "the addresses of this computer".to_owned(),
        text: error.to_string(),
        hint: "name one with --address".to_owned(),
    })?;
    let mut found: Vec<IpAddr> = told
        .iter()
        .map(|interface| interface.ip())
        .filter(|ip| !ip.is_loopback() && is_of_the_home(*ip) && !is_link_local_v6(*ip))
        .collect();
    found.sort();
    found.dedup();
    if let Some(usual) = usual_address() {
        found.sort_by_key(|address| *address != usual);
    }
    Ok(found)
}

fn is_link_local_v6(address: IpAddr) -> bool {
    matches!(address, IpAddr::V6(own) if own.is_unicast_link_local())
}

/// The address that this computer uses towards others: the system chooses it when a socket is given a direction, and
/// nothing is sent.
fn usual_address() -> Option<IpAddr> {
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    // 192.0.2.0/24 is kept for documents (RFC 5737): no computer has it.
    socket
        .connect(SocketAddr::from((Ipv4Addr::new(192, 0, 2, 1), 9)))
        .ok()?;
    Some(socket.local_addr().ok()?.ip())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_home_has_private_addresses() {
        // RFC 1918 section 3, RFC 3927, RFC 4193; 100.64/10 is the carrier's (RFC 6598), 2001:db8::/32 for documents.
        for (address, wanted) in [
            ("10.1.2.3", true),
            ("172.16.0.1", true),
            ("172.31.255.254", true),
            ("172.32.0.1", false),
            ("192.168.178.20", true),
            ("192.169.0.1", false),
            ("169.254.7.7", true),
            ("100.64.0.1", false),
            ("127.0.0.1", true),
            ("203.0.113.9", false),
            ("fd12:3456::1", true),
            ("fe80::1", true),
            ("2001:db8::1", false),
            ("::ffff:192.168.1.2", true),
            ("::ffff:203.0.113.9", false),
        ] {
            let address: IpAddr = address.parse().expect("an address");
            assert_eq!(is_of_the_home(address), wanted, "{address}");
        }
    }

    #[test]
    fn this_computer_tells_only_addresses_of_a_home() {
        for address in own_addresses().expect("the system tells") {
            assert!(is_of_the_home(address) && !address.is_loopback());
        }
    }
}
