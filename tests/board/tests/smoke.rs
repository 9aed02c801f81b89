use holdpoint_board_tests::*;
#[test]
fn smoke() {
    if !find_qemu() {
        return;
    }
    let dir = tempfile::tempdir().unwrap();
    let card = dir.path().join("card.img");
    std::fs::File::create(&card).unwrap().set_len(8 << 20).unwrap();
    let mut e = Emulator::start(&firmware(), Some(&card)).unwrap();
    for _ in 0..2 {
        println!("{:?}", e.line());
    }
    println!("{}", e.screen().unwrap().text());
    e.press(Key::Down).unwrap();
    e.press(Key::Down).unwrap();
    println!("{:?}", e.line());
    e.eject().unwrap();
    println!("{:?}", e.line());
    e.insert(&card).unwrap();
    println!("{:?}", e.line());
    e.insert(&card).unwrap();
    for _ in 0..2 {
        println!("{:?}", e.line());
    }
    drop(e);
    let mut e = Emulator::start(&firmware(), None).unwrap();
    println!("{:?}", e.line());
    println!("{}", e.screen().unwrap().text());
}
