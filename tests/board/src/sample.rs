//! A job to count on: what an ordinary part's file looks like, of any length, the same on every machine.

use std::fmt::Write as _;

/// Between moves of one layer, in millimetres.
const LAYER_HEIGHT: f64 = 0.2;
/// Filament for a millimetre of bead 0.4 mm wide and 0.2 high, from 1.75 mm: 0.08 / 2.405.
const FILAMENT_PER_MM: f64 = 0.033_26;

/// Text of a job, cut after the line that passes `bytes`: round walls of short moves, straight infill, travels with
/// retraction, a comment and a fan word here and there.
#[must_use]
pub fn sample_job(bytes: usize) -> String {
    let mut job = String::from(
        "; generated to count on\nG21\nG90\nM83\nM140 S60\nM104 S210\nG28\nM190 S60\nM109 S210\nG92 E0\nG1 Z0.2 F600\n",
    );
    let mut layer = 1.0;
    while job.len() < bytes {
        let _ = write!(
            job,
            "; layer {layer}\nG1 Z{:.3} F600\nM106 S{}\n",
            layer * LAYER_HEIGHT,
            40 + (layer as u32 % 200)
        );
        for wall in 0..3 {
            let radius = 30.0 - 0.4 * f64::from(wall);
            let _ = writeln!(
                job,
                "G1 E-0.80000 F2400\nG0 X{:.3} Y100.000 F9000\nG1 E0.80000 F2400",
                100.0 + radius
            );
            let step = std::f64::consts::TAU / 180.0;
            for corner in 1..=180 {
                let angle = step * f64::from(corner);
                let (x, y) = (100.0 + radius * angle.cos(), 100.0 + radius * angle.sin());
                let feed = if corner == 1 { " F1800" } else { "" };
                let _ = writeln!(job, "G1 X{x:.3} Y{y:.3} E{:.5}{feed}", radius * step * FILAMENT_PER_MM);
            }
        }
        for line in -14..=14 {
            let y = 2.0 * f64::from(line);
            let half = (28.5_f64.powi(2) - y * y).max(1.0).sqrt();
            let (from, to) = if line % 2 == 0 { (-half, half) } else { (half, -half) };
            let _ = writeln!(job, "G0 X{:.3} Y{:.3} F9000", 100.0 + from, 100.0 + y);
            let _ = writeln!(
                job,
                "G1 X{:.3} Y{:.3} E{:.5} F3000",
                100.0 + to,
                100.0 + y,
                2.0 * half * FILAMENT_PER_MM
            );
        }
        layer += 1.0;
    }
    if let Some(end) = job.get(..bytes).and_then(|cut| cut.rfind('\n')) {
        job.truncate(end + 1);
    }
    job
}
