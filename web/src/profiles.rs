//! The shipped profiles, one per family of sources, to start one's own from.

/// Each with its title and the text of its file.
pub(crate) static PROFILES: &[(&str, &str)] = &[
    (
        "Flashing lamps of agricultural equipment, SAE J974",
        include_str!("../../patterns/profiles/agricultural-equipment.json"),
    ),
    (
        "Vehicles on aerodromes",
        include_str!("../../patterns/profiles/airport-vehicles.json"),
    ),
    (
        "Ambulance lamps, federal purchase specification",
        include_str!("../../patterns/profiles/ambulance-specification.json"),
    ),
    (
        "Arrow boards on vehicles",
        include_str!("../../patterns/profiles/arrow-boards.json"),
    ),
    (
        "Street vending and oversize vehicles, Australia",
        include_str!("../../patterns/profiles/australia-vehicle-lights.json"),
    ),
    (
        "Headlamp flashing and steady red, California Vehicle Code",
        include_str!("../../patterns/profiles/california-emergency-headlamps.json"),
    ),
    (
        "Electrical loading",
        include_str!("../../patterns/profiles/electrical-practice.json"),
    ),
    (
        "Fire apparatus, NFPA 1901",
        include_str!("../../patterns/profiles/fire-apparatus.json"),
    ),
    (
        "Flashing beacons, MUTCD",
        include_str!("../../patterns/profiles/flashing-beacons.json"),
    ),
    (
        "Rear warning systems and hazard flashers, StVZO",
        include_str!("../../patterns/profiles/germany-rear-warning.json"),
    ),
    (
        "Usual mistakes of an installation",
        include_str!("../../patterns/profiles/installer-practice.json"),
    ),
    (
        "Blue light of medical transport, Geneva Conventions",
        include_str!("../../patterns/profiles/medical-transport-blue.json"),
    ),
    (
        "Motorcycle headlamp modulation",
        include_str!("../../patterns/profiles/motorcycle-headlamp-modulation.json"),
    ),
    (
        "Priority vehicles and road signals, Netherlands",
        include_str!("../../patterns/profiles/netherlands-priority-vehicles.json"),
    ),
    (
        "Load pilots and amber beacons, New Zealand notices",
        include_str!("../../patterns/profiles/new-zealand-escort.json"),
    ),
    (
        "Photosensitive screening only",
        include_str!("../../patterns/profiles/photosensitive-screening.json"),
    ),
    (
        "Escort vehicles and green lights, Quebec",
        include_str!("../../patterns/profiles/quebec-amber-and-green.json"),
    ),
    (
        "Warning lamps, SAE J595 and J845",
        include_str!("../../patterns/profiles/sae-warning-lamps.json"),
    ),
    (
        "School-bus signal lamps and stop arms",
        include_str!("../../patterns/profiles/school-bus.json"),
    ),
    (
        "Special warning lamps, UN Regulation No. 65",
        include_str!("../../patterns/profiles/un-r65-special-warning-lamps.json"),
    ),
    (
        "Warning beacons and hazard signals, United Kingdom",
        include_str!("../../patterns/profiles/united-kingdom-beacons.json"),
    ),
    (
        "Flashing lights of vessels and waterways",
        include_str!("../../patterns/profiles/vessels-and-waterways.json"),
    ),
    (
        "Headlamp flashing, Washington Administrative Code",
        include_str!("../../patterns/profiles/washington-emergency-headlamps.json"),
    ),
];
