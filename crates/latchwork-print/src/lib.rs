pub fn nothing() {}
