// The debrief as one HTML file that needs nothing else: no script, no font, picture or style from outside (a policy in the
// file forbids them), readable on a screen, on paper (A4) and by a screen reader. Well-formed as XML.
//
// What is told stands in the order in which it teaches: the verdict and why, the points, the run over time, each rule, what
// could not be seen, what to try next, and all that was done. Text of exercises and recordings is escaped (html_text.h).
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "trainer/exercise/debrief_data.h"

namespace wetrun {

struct ReportOptions {
  std::string pressure = "bar";      // bar, psi, kPa
  std::string flow = "m3/h";         // m3/h, gpm, L/min
  std::string temperature = "degC";  // degC, degF
  std::string when;                  // date and time in words; "" : not said
  std::string recording;             // name of the recording beside the report; "" : none
};

/// `frames` of the run, in order of time, as many as there are: the plots are drawn from them. Throws InputError: a unit
/// that is none of those above.
std::string debrief_html(const DebriefData& data, const std::vector<std::shared_ptr<const Frame>>& frames,
                         const ReportOptions& options);

}  // namespace wetrun
