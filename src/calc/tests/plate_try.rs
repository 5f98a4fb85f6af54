use std::io::Read;
#[test]
fn try_it() {
    let mut s = String::new();
    let Ok(p) = std::env::var("PLATES") else {
        return;
    };
    std::fs::File::open(p)
        .unwrap()
        .read_to_string(&mut s)
        .unwrap();
    for l in s.lines() {
        let r = calc::plate::read(l);
        println!("## {l}\n   => {}", calc::plate::write(&r.plate));
        for n in &r.not_understood {
            println!("   !! {:?} {}", n.text, n.why);
        }
        for n in &r.doubts {
            println!("   ?? {} {}", n.field, n.words);
        }
        let nu: Vec<_> = r
            .understood
            .iter()
            .filter(|u| u.fields.is_empty())
            .map(|u| u.text.as_str())
            .collect();
        if !nu.is_empty() {
            println!("   -- {nu:?}");
        }
    }
}
