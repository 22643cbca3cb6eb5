//! Code values of a signal.
//!
//! In: a signal, 0 to 1 over its nominal range. Out: whole numbers as they are sent and as a
//! waveform monitor shows them.

/// How a signal is put into numbers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CodeRange {
    /// Room is left under black and over white, as in all broadcast: `(219 s + 16) 2^(n-8)`,
    /// Rec. ITU-R BT.709-6 item 3.4 and BT.2100-2 table 9.
    Narrow,
    /// All numbers: `(2^n - 1) s`, BT.2100-2 table 9. Files of pictures.
    Full,
}

impl CodeRange {
    /// The code value of a signal at so many bits, within what may be sent: what a narrow
    /// range holds beside black and white is kept, but for the numbers that are reserved for
    /// timing (the lowest and highest 1 of 8 bits, 4 of 10; BT.709-6 item 3.6, BT.2100-2
    /// table 9).
    ///
    /// ```
    /// use quarterstop::signal::CodeRange;
    /// assert_eq!(CodeRange::Narrow.code(1.0, 10), 940);
    /// assert_eq!(CodeRange::Narrow.code(0.0, 8), 16);
    /// assert_eq!(CodeRange::Full.code(1.0, 10), 1023);
    /// ```
    pub fn code(self, signal: f64, bits: u32) -> u32 {
        let bits = bits.clamp(8, 16);
        let (lowest, highest) = self.limits(bits);
        let code = self.exact(signal, bits).round();
        // within the limits, so whole and positive
        code.clamp(f64::from(lowest), f64::from(highest)) as u32
    }

    /// The signal of a code value.
    pub fn signal(self, code: u32, bits: u32) -> f64 {
        let bits = bits.clamp(8, 16);
        let code = f64::from(code);
        match self {
            Self::Narrow => (code / f64::from(1_u32 << (bits - 8)) - 16.0) / 219.0,
            Self::Full => code / f64::from((1_u32 << bits) - 1),
        }
    }

    /// Before rounding, without limits.
    pub fn exact(self, signal: f64, bits: u32) -> f64 {
        let bits = bits.clamp(8, 16);
        match self {
            Self::Narrow => (219.0 * signal + 16.0) * f64::from(1_u32 << (bits - 8)),
            Self::Full => signal * f64::from((1_u32 << bits) - 1),
        }
    }

    /// Lowest and highest code value of a picture.
    fn limits(self, bits: u32) -> (u32, u32) {
        let all = (1_u32 << bits) - 1;
        match self {
            Self::Narrow => {
                let reserved = 1_u32 << (bits - 8);
                (reserved, all - reserved)
            }
            Self::Full => (0, all),
        }
    }
}
