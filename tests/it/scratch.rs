use viva_voicing::exam;
#[test]
fn scratch() {
    let source = std::fs::read_to_string("exams/guide-tones.toml").unwrap();
    let t = std::time::Instant::now();
    let (e, d) = exam::read::read(&source, "guide-tones");
    println!("read {:?}", t.elapsed());
    for x in &d {
        println!("{}", exam::diagnostic::render(x, "g.toml", &source));
    }
    let e = e.unwrap();
    let t = std::time::Instant::now();
    let mut ok = 0;
    for s in 0..50 {
        match exam::draw::draw_set(&e, s) {
            Ok(f) => ok += f.len(),
            Err(x) => println!("{s}: {x}"),
        }
    }
    println!("{ok} in {:?}", t.elapsed());
    let f = exam::draw::draw(&e, exam::code::Code::FIRST).unwrap();
    for i in f.items.iter().take(30) {
        println!("{} {}", i.number, i.prompt);
    }
    println!("{}", f.items.len());
}
