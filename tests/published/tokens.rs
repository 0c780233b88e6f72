//! A time token made by openssl 3.0.19, whose fields asn1crypto 1.5.1 read: they stand below as it told them (`tsa/`; the keys
//! were thrown away).

use super::folder;
use sidelong_core::log::timestamp::{NotStamped, Request, check, read_certificates};

#[test]
fn a_token_by_openssl_says_what_asn1crypto_read() {
    let file = |name: &str| std::fs::read(folder().join("tsa").join(name)).expect("a file");
    let (data, reply) = (file("sample1.data"), file("sample1.tsr"));
    let request = Request::read(&file("sample1.tsq")).expect("a request");
    let roots = read_certificates(&file("ca.pem")).expect("a root");
    let stamp = check(&reply, &data, Some(&request), &roots, &[]).expect("believed");
    // 2026-11-25T07:42:36.548Z
    assert_eq!(stamp.at_ms, 1_795_592_556_548);
    // 1 s, 500 ms, 100 us
    assert_eq!(stamp.accuracy_us, Some(1_500_100));
    assert_eq!((stamp.policy.as_str(), stamp.serial.as_str()), ("1.2.3.4.1", "0a18"));
    assert_eq!(stamp.authority, "CN=Test TSA (not for production)");
    // openssl: message imprint mismatch, when a byte is appended.
    let longer = [data, vec![0]].concat();
    assert_eq!(check(&reply, &longer, Some(&request), &roots, &[]), Err(NotStamped::OtherBytes));
}
