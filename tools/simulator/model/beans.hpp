#pragma once

/// What happens inside coffee beans while they are heated: pure formulas, no state.
/// Units: degrees Celsius, kJ, kg, s, kW. Moisture is kg of water per kg of DRY bean.
///
/// Source of the structure and the constants (from memory of the chapter, no full text at hand): H.G.
/// Schwartzberg, "Modeling bean heating during batch roasting of coffee beans", in Welti-Chanes,
/// Barbosa-Canovas, Aguilera (eds), Engineering and Food for the 21st Century, CRC Press, 2002; used again by
/// Bottazzi, Farina, Milani, Montorsi, J. Food Eng. 112 (2012) 243-252. The dry-matter law and the crack law
/// are our own fits, without a source.
namespace drumwatch::simulator {

/// Heat taken up per kg of water evaporated from the bean (more than plain water's: it is bound).
inline constexpr double kDesorption_kj_kg = 2790.0;
/// Heat that the roasting reactions can release in all, per kg of dry bean.
inline constexpr double kReaction_kj_kg = 232.0;

/// kJ per K and kg of WET bean.
double specific_heat(double bean_c, double moisture);

/// -dX/dt in 1/s (positive while drying). The bean diameter is in millimetres, and the constant belongs to
/// that unit.
double drying_rate(double bean_c, double moisture, double diameter_mm);

/// Heat of the reactions in kW per kg of dry bean; falls to nothing as `released_kj_kg` nears the total.
double reaction_heat(double bean_c, double released_kj_kg);

/// Share of the dry matter lost per second (own fit: about 6 % at 218 C, 12 % at 232 C for usual roasts).
double dry_loss_rate(double bean_c);

/// Share of the beans that have cracked when the mean bean temperature first reaches `bean_c`: a normal
/// distribution (own choice; sd 3 C gives the 60 to 120 s that first crack lasts at 6 to 10 K/min, from
/// memory of the trade).
double cracked_share(double bean_c, double mean_c, double sd_c);

}  // namespace drumwatch::simulator
