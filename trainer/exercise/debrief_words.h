// The words in which a debrief is put before people: readings in their own units, names without dots and underscores, what
// failed a run and what to try next. Shared by the HTML report and the debrief panel.
#pragma once
#include <string>
#include <string_view>
#include <vector>

#include "trainer/exercise/debrief_data.h"

namespace wetrun {

struct ReadingUnits {
  std::string pressure = "bar";      // bar, psi, kPa
  std::string flow = "m3/h";         // m3/h, gpm, L/min
  std::string temperature = "degC";  // degC, degF
};

/// "array_1.feed_pressure" -> "array 1 feed pressure".
std::string plain_words(std::string_view name);
/// "line_walked_before_start" -> "Line walked before start".
std::string rule_title(const RuleResult& rule);
/// The unit that a reading is shown in, as units.h spells it: "psi" for "Pa". Unknown units stay as they are.
std::string unit_for(const ReadingUnits& units, const std::string& si_unit);
/// That unit as printed: "m³/h", "°C", "" for "1".
std::string printed_unit(std::string_view unit);
/// "2.41 bar", "18 °C", "32.1 m³/h". `share`: a plain number is a share and shown in per cent.
std::string reading_words(const ReadingUnits& units, double value_si, const std::string& si_unit, bool share = false);
/// True if a hidden reading only ever was 0 or 1 and ranges between these: read as no and yes.
bool yes_or_no(const HiddenResult& hidden, const SignalTable& signals);
/// A hidden reading's value, by its range: yes/no, per cent or with its unit.
std::string hidden_words(const ReadingUnits& units, const HiddenResult& hidden, const SignalTable& signals,
                         double value_si);
/// What a fault was set to, in the same manner.
std::string fault_words(const ReadingUnits& units, const FaultResult& fault, const SignalTable& signals);
/// The evidence's text for people: "discharge gauge reading = 0.03 bar (limit: above 3.5 bar)", "pump running: yes".
std::string evidence_words(const ReadingUnits& units, const Evidence& evidence);
/// The same for any text that names signals and quantities: "suction valve opening to 100 %".
std::string plain_text(const ReadingUnits& units, std::string_view text);

/// All that is cited of the rule's first moment: "pump running: yes; pump rattle = 100 % (limit: above 50 %)".
std::string first_moment(const ReadingUnits& units, const RuleResult& rule);
/// An author's words with units as printed: "120 °C", "1.4 m³/h".
std::string with_printed_units(std::string_view text);

/// Rules that were not met: critical ones first, then the costliest, then as in the exercise.
std::vector<std::size_t> rules_to_mend(const DebriefData& data);
/// Of a run that a critical rule failed: the other rules whose first moment came before that, earliest first. They tell how
/// it came about.
std::vector<std::size_t> rules_broken_before(const DebriefData& data);
/// "Passed", "Not passed", "Not scored", "Still under way".
std::string verdict_words(const DebriefData& data);
/// Why the verdict is what it is, without and with the points.
std::string verdict_cause(const DebriefData& data);
std::string verdict_reason(const DebriefData& data);
/// How the score came about: "61 of 100 points for the rules", "3 points less for 1 hint", ...
std::vector<std::string> score_account(const DebriefData& data);
/// "61", "61.3": points without needless digits.
std::string points_words(double points);
/// The moments of a rule: its evidence without what only sums the run up at its end. All of it if there is no other.
std::vector<Evidence> moments_of(const RuleResult& rule, double duration_s);

}  // namespace wetrun
