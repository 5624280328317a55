#include <fmt/format.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "engine/core/units.h"
#include "trainer/exercise/clean.h"
#include "trainer/exercise/debrief.h"
#include "trainer/exercise/json_text.h"

namespace wetrun {

std::string clean_text(const CleanOutcome& o) {
  std::string out = fmt::format("CLEAN  {} on {}, {}{}\n", o.sequence, o.skid, format_quantity(o.duration_s, "s"),
                                o.gave_up ? " (the operator gave up waiting)" : "");
  out += "\nSteps\n";
  for (const PhaseRecord& p : o.steps)
    out += fmt::format("  {} to {}  {} ({})\n", minute_clock(p.start_s), minute_clock(p.end_s), p.name, p.ended_by);
  out += "\nArrays, normalised to 25 degC\n";
  for (const ArrayOutcome& a : o.arrays)
    out += fmt::format(
        "  {}: permeability {:.3g} -> {:.3g} m/s/Pa ({:.1f} % of the loss recovered), channel dp {} -> {}\n", a.name,
        a.permeability_before_m_s_pa, a.permeability_after_m_s_pa, 100 * a.recovered_fraction,
        format_quantity(a.channel_dp_before_pa, "Pa"), format_quantity(a.channel_dp_after_pa, "Pa"));
  out += "\nCost and limits\n";
  for (const CleanOutcome::Chemical& c : o.chemicals)
    if (c.mass_kg > 0) out += fmt::format("  {}: {:.3g} kg\n", c.name, c.mass_kg);
  out += fmt::format("  waste {:.3g} m3, energy {:.3g} kWh, cartridges {:.0f}\n", o.waste_m3 < 1e-6 ? 0 : o.waste_m3,
                     o.energy_j / 3.6e6, o.cartridges_used);
  out += fmt::format("  peak feed pressure {}, warmest {}, pH {:.2f} to {:.2f}\n",
                     format_quantity(o.peak_feed_pressure_pa, "Pa"), format_quantity(o.max_temperature_k, "K"),
                     o.ph_min, o.ph_max);
  double worst = 0;
  for (const Balance& b : o.balances) worst = std::max(worst, b.residual);
  out += fmt::format("\nWorst balance {:.1e}; state digest {}\n", worst, digest_text(o.digest));
  return out;
}

std::string clean_json(const CleanOutcome& o) {
  using nlohmann::ordered_json;
  ordered_json steps = ordered_json::array(), arrays = ordered_json::array();
  ordered_json chemical = ordered_json::object(), balance = ordered_json::object();
  for (const PhaseRecord& p : o.steps)
    steps.push_back({{"name", p.name}, {"start_s", p.start_s}, {"end_s", p.end_s}, {"ended_by", p.ended_by}});
  for (const ArrayOutcome& a : o.arrays)
    arrays.push_back({{"name", a.name},
                      {"permeability_before_m_s_pa", a.permeability_before_m_s_pa},
                      {"permeability_after_m_s_pa", a.permeability_after_m_s_pa},
                      {"recovered_fraction", a.recovered_fraction},
                      {"channel_dp_before_pa", a.channel_dp_before_pa},
                      {"channel_dp_after_pa", a.channel_dp_after_pa}});
  for (const CleanOutcome::Chemical& c : o.chemicals)
    if (c.mass_kg > 0) chemical[c.name] = c.mass_kg;
  const BalanceSummary summary = summarise(o.balances);
  balance = {
      {"water", summary.water}, {"charge", summary.charge}, {"foulant", summary.foulant}, {"energy", summary.energy}};
  for (const Balance& b : o.balances) balance[b.name] = b.residual;
  const ordered_json all = {{"sequence", o.sequence},
                            {"skid", o.skid},
                            {"duration_s", o.duration_s},
                            {"steps", steps},
                            {"arrays", arrays},
                            {"chemical_kg", chemical},
                            {"waste_m3", o.waste_m3},
                            {"energy_kwh", o.energy_j / 3.6e6},
                            {"peak_feed_pressure_pa", o.peak_feed_pressure_pa},
                            {"max_temperature_c", o.max_temperature_k - 273.15},
                            {"ph_min", o.ph_min},
                            {"ph_max", o.ph_max},
                            {"cartridges_used", std::llround(o.cartridges_used)},
                            {"balance", balance},
                            {"digest", digest_text(o.digest)}};
  return json_text(all);
}

}  // namespace wetrun
