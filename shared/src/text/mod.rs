//! bytes → lines → words: the RS-274 scanner.
