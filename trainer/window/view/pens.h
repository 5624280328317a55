// The pens of the strip chart: which readings can be drawn, in which lane and scale, and what is left of thousands of
// frames when they are drawn on a few hundred columns of pixels.
//
// Only what a person standing at the skid can read may have a pen. Pens of one unit share a lane and a scale, as on a
// recorder with several strips of paper one above the other: no line ever has to be read against another's scale.
#pragma once
#include <memory>
#include <string>
#include <vector>

#include "engine/signal/signal.h"
#include "trainer/window/view/film.h"
#include "trainer/window/view/preferences.h"
#include "trainer/window/view/scene.h"

namespace wetrun {

constexpr std::size_t most_pens = 6;

struct Pen {
  SignalId signal;
  std::string name;   // of the signal
  std::string label;  // "discharge gauge", "suction valve position"
  std::string tag;    // of the thing: "PI-101"
  std::string unit;   // SI
  bool yes_no = false;
  std::string if_no = "off", if_yes = "on";  // what a yes-or-no reading says
};

/// Everything a pen can be given to, things in the order of the drawing.
std::vector<Pen> pen_choices(const SignalTable& signals, const Scene& scene);
/// One of them; without a valid signal if there is none of this name or it cannot be seen at the skid.
Pen pen_for(const SignalTable& signals, const Scene& scene, const std::string& name);
/// What a trainee sees at first: two gauges, flow, pH and level, as far as the skid has them. Chosen by kind of thing.
std::vector<std::string> first_pens(const SignalTable& signals, const Scene& scene);
/// The value as it is read: in the user's unit, or in words.
std::string pen_value(const Preferences& preferences, const Pen& pen, double value);
/// True if every word of the filter occurs in label, tag or name.
bool pen_matches(const Pen& pen, const std::string& filter);

/// Time and values of some signals, taken out of the film, one behind the other in memory. Grows with the film.
class PenTracks {
public:
  void update(const Film& film, const std::vector<SignalId>& signals);
  const std::vector<double>& times_s() const { return times_s_; }
  const std::vector<float>& values(std::size_t pen) const { return values_[pen]; }
  std::size_t pens() const { return values_.size(); }

private:
  void take(const Frame& frame);
  std::vector<SignalId> signals_;
  std::vector<double> times_s_;
  std::vector<std::vector<float>> values_;
  std::vector<const Frame*> seen_;  // only compared, never read
};

struct TracePoint {
  double time_s = 0;
  float value = 0;
};
/// The line to draw for times from..to on `columns` columns of pixels: at most four points a column (first, lowest,
/// highest, last, in their order), so that no spike is lost; all points where they are few. One point beyond each end, if
/// there is one, so that the line goes on to the edge.
std::vector<TracePoint> trace(const std::vector<double>& times_s, const std::vector<float>& values, double from_s,
                              double to_s, int columns);

struct Lane {
  std::string unit;  // SI; yes-or-no readings have a lane of their own with unit ""
  std::vector<std::size_t> pens;
  double low = 0, high = 1;   // SI
  std::vector<double> ticks;  // SI, round numbers in the user's unit
};
/// Lanes in the order in which the pens come; scales round in the user's unit, that hold what is seen from..to.
std::vector<Lane> lanes(const Preferences& preferences, const std::vector<Pen>& pens, const PenTracks& tracks,
                        double from_s, double to_s);

/// A round step (1, 2 or 5 times a power of ten) that divides a range into about `parts`.
double round_step(double range, int parts);
/// A step of time for a grid: 5 s, 10 s, 15 s, 30 s, 1 min ... 1 h.
double time_step(double range_s, int parts);

/// What is shown of the run: `right_s` none = follows the newest.
struct ChartSpan {
  double from_s = 0, to_s = 0;
};
ChartSpan chart_span(double start_s, double end_s, double window_s, const double* right_s);
/// Zoom by a factor (> 1: closer) around a time that stays where it is; between 30 s and the whole run, or what is shown at
/// first if that is more. Follows the newest again when the newest comes into view.
void zoom_chart(double start_s, double end_s, double around_s, double factor, double& window_s, bool& following,
                double& right_s);

constexpr double closest_window_s = 30, first_window_s = 600;

}  // namespace wetrun
