//! The shipped profiles, one per family of sources, to start one's own from.
//!
//! Absent: their texts, which stand beside the app and are read when one is chosen.

/// Each with its title and the name of its file in the folder of profiles.
pub(crate) static PROFILES: &[(&str, &str)] = &[
    (
        "Flashing lamps of agricultural equipment, SAE J974",
        "agricultural-equipment",
    ),
    ("Vehicles on aerodromes", "airport-vehicles"),
    (
        "Ambulance lamps, federal purchase specification",
        "ambulance-specification",
    ),
    ("Arrow boards on vehicles", "arrow-boards"),
    (
        "Street vending and oversize vehicles, Australia",
        "australia-vehicle-lights",
    ),
    (
        "Headlamp flashing and steady red, California Vehicle Code",
        "california-emergency-headlamps",
    ),
    ("Electrical loading", "electrical-practice"),
    ("Fire apparatus, NFPA 1901", "fire-apparatus"),
    ("Flashing beacons, MUTCD", "flashing-beacons"),
    (
        "Rear warning systems and hazard flashers, StVZO",
        "germany-rear-warning",
    ),
    ("Indicator lamps, IEC 60073", "indicator-lamps"),
    ("Usual mistakes of an installation", "installer-practice"),
    (
        "Blue light of medical transport, Geneva Conventions",
        "medical-transport-blue",
    ),
    (
        "Motorcycle headlamp modulation",
        "motorcycle-headlamp-modulation",
    ),
    (
        "Priority vehicles and road signals, Netherlands",
        "netherlands-priority-vehicles",
    ),
    (
        "Load pilots and amber beacons, New Zealand notices",
        "new-zealand-escort",
    ),
    ("Photosensitive screening only", "photosensitive-screening"),
    (
        "Escort vehicles and green lights, Quebec",
        "quebec-amber-and-green",
    ),
    ("Warning lamps, SAE J595 and J845", "sae-warning-lamps"),
    ("School-bus signal lamps and stop arms", "school-bus"),
    ("Starting set of general rules", "starting-set"),
    (
        "Special warning lamps, UN Regulation No. 65",
        "un-r65-special-warning-lamps",
    ),
    (
        "Warning beacons and hazard signals, United Kingdom",
        "united-kingdom-beacons",
    ),
    (
        "Turn and hazard signals, NHTSA letter",
        "united-states-turn-and-hazard",
    ),
    (
        "Flashing lights of vessels and waterways",
        "vessels-and-waterways",
    ),
    (
        "Headlamp flashing, Washington Administrative Code",
        "washington-emergency-headlamps",
    ),
];
