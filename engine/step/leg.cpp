#include "engine/step/leg.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string_view>

namespace wetrun {
namespace {

constexpr double g = 0.29289321881345254;  // 1 - 1/sqrt(2)
constexpr double positive_up_to = 2.4;     // throughputs of the fastest cell in one piece
constexpr int most_parts = 64;
constexpr double bend = 3e-4;                 // see leg.h: share of a cell's content off the straight line
constexpr double fine = 1.25e-3;              // the same in the parts of a leg of one step, which cannot be shorter
constexpr double of_state = 1e-2;             // of a state's size
constexpr double of_follower = 0.02;          // weight of states that decay: exact but for the line they follow
constexpr double followed = 2e-3;             // of the tolerance: if one moves more, slopes are asked for where it goes
constexpr double inside = 1e-3;               // of such a state, by which it may differ in the middle of a leg,
constexpr double quick = 0.4;                 // unless it decays faster than so [1/s]: then it has soon settled
constexpr double shortest = 1.0 / 128;        // of a step, that units may ask for
constexpr double least_concentration = 1e-4;  // of any component, per m3: less counts as nothing
constexpr double round_off = 1e-9;            // of the largest concentration: that much below zero is no amount

/// What counts as little of a state, by its unit.
double little_of(std::string_view unit) {
  if (unit == "Pa") return 1e4;
  if (unit == "J") return 1e4;
  if (unit == "K" || unit == "s") return 1;
  if (unit == "kg" || unit == "mol") return 0.1;
  if (unit == "1") return 1e-2;
  if (unit == "kg/m2") return 1e-4;
  if (unit == "m3/s") return 1e-5;
  return 1e-3;  // m3, V
}

}  // namespace

LegStepper::Weights LegStepper::Weights::of(double z) {
  if (!(z > 0)) return {1, 1, 0.5};
  const double keep = std::exp(-z), held = -std::expm1(-z) / z;
  // (z - 1 + e^-z)/z^2, whose terms cancel for small z.
  const double rising = z > 0.01 ? (1 - held) / z : 0.5 - z / 6 + z * z / 24 - z * z * z / 120;
  return {keep, held, rising};
}

LegStepper::LegStepper(std::shared_ptr<const Plant> plant, Machine& machine)
    : plant_(std::move(plant)),
      machine_(machine),
      transport_(*plant_),
      cells_(machine.cell_numbers()),
      n0_(machine.fresh_slopes()),
      n1_(machine.fresh_slopes()),
      carried_(plant_->network()) {
  predicted_.assign(plant_->x_size(), 0.0);
  for (const Plant::Slot& slot : plant_->units())
    for (const NumberInfo& state : slot.unit->info().states) little_.push_back(little_of(state.unit));
  state_scale_ = little_;
  weights_.assign(little_.size(), Weights{});
  presence_.assign(plant_->components(), 0.0);
  for (const Plant::Cell& cell : plant_->cells()) is_inner_.push_back(cell.kind == CellKind::inner ? 1 : 0);
  volume_start_.assign(plant_->cells().size(), 0.0);
  volume_end_ = volume_ = outflow_ = volume_start_;
  flow_.assign(plant_->network().links().size(), 0.0);
  slope_ = flow_;
  exchange_ = n0_.exchange;
  pass_ = n0_.pass;
}

/// Takes along the components that are anywhere or come out of something; packs what the leg starts with.
void LegStepper::pack_start(const std::vector<double>& x, std::initializer_list<const Slopes*> slopes) {
  const std::size_t n = plant_->components(), rows = plant_->cells().size();
  std::fill(presence_.begin(), presence_.end(), 0.0);
  lanes::add_magnitudes(rows, n, x.data(), presence_.data());
  for (const Slopes* list : slopes) lanes::add_magnitudes(rows, n, list->rate.data(), presence_.data());
  components_.clear();
  for (std::uint32_t j = 0; j < n; ++j)
    if (j == 0 || presence_[j] != 0) components_.push_back(j);
  transport_.set_components(components_);
  const std::span<const double> cells(x.data(), cells_);
  transport_.pack(cells, start_);
  transport_.pack({n0_.rate.data(), cells_}, rate_0_);
  stage_.resize(start_.size());
  part_start_.resize(start_.size());
  set_scales(x);
}

void LegStepper::set_scales(const std::vector<double>& x) {
  const std::size_t width = transport_.width();
  peak_.assign(width, least_concentration);
  per_peak_.resize(width);
  limit_.assign(width, std::numeric_limits<double>::infinity());
  scale_.assign(start_.size(), 0.0);  // of what only keeps account it stays 0
  for (std::size_t i = 0; i < transport_.rows(); ++i) {
    if (!is_inner_[transport_.cell_of_row(i)]) continue;
    const double volume = std::max(start_[i * width], least_volume_m3);
    lanes::raise(width, 1 / volume, &start_[i * width], peak_.data());
  }
  for (std::size_t j = 0; j < width; ++j) per_peak_[j] = 1 / peak_[j];
  for (std::size_t j = 0; j < components_.size(); ++j)
    if (!plant_->is_signed(components_[j])) limit_[j] = peak_[j];
  for (std::size_t i = 0; i < transport_.rows(); ++i) {
    if (!is_inner_[transport_.cell_of_row(i)]) continue;
    const double volume = std::max(start_[i * width], least_volume_m3);
    lanes::scale(width, 1 / (bend * volume), per_peak_.data(), &scale_[i * width]);
  }
  for (std::size_t i = cells_; i < x.size(); ++i)
    state_scale_[i - cells_] = 1 / (of_state * std::max(std::abs(x[i]), little_[i - cells_]));
}

/// Flows at the end if they go on as they did: by no more than a third of the largest, all by the same share. Those that
/// follow the content of their cell do so by its slope, in the solution of the transport, and not twice.
void LegStepper::carry_on(const LegEnd& start, const std::vector<double>& flow_trend_m3_s2, double h_s) {
  const NetworkState& now = start.picture.network;
  NetworkState& then = carried_;
  double largest = 0, change = 0;
  for (std::size_t k = 0; k < now.flow_m3_s.size(); ++k) {
    largest = std::max(largest, std::abs(now.flow_m3_s[k]));
    change = std::max(change, std::abs(flow_trend_m3_s2[k] * h_s));
  }
  const double share = change > largest / 3 ? largest / 3 / change : 1;
  for (std::size_t k = 0; k < now.flow_m3_s.size(); ++k)
    then.flow_m3_s[k] = now.flow_m3_s[k] + (now.content_slope_1_s[k] > 0 ? 0 : share * h_s * flow_trend_m3_s2[k]);
  then.content_slope_1_s = now.content_slope_1_s;
}

Drive LegStepper::drive_at(double share, const NetworkState& start, const NetworkState& end, const Slopes& n1) {
  const auto line = [share](const std::vector<double>& a, const std::vector<double>& b, std::vector<double>& out) {
    lanes::line(out.size(), a.data(), b.data(), share, out.data());
  };
  line(start.flow_m3_s, end.flow_m3_s, flow_);
  line(start.content_slope_1_s, end.content_slope_1_s, slope_);
  line(volume_start_, volume_end_, volume_);
  line(n0_.exchange, n1.exchange, exchange_);
  line(n0_.pass, n1.pass, pass_);
  return {flow_, slope_, volume_, exchange_, pass_};
}

void LegStepper::stages(const LegEnd& start, const NetworkState& end, const std::vector<double>& x_end,
                        const Slopes& n1, const std::vector<double>& rate_1, double a, double b, double h_s,
                        std::vector<double>& rows, std::vector<double>& x) {
  // N over the first stage and over the whole, times its time.
  const double gh = g * h_s, mean_1 = a + g / 2 * (b - a), mean_2 = (a + b) / 2;
  lanes::stage(rows.size(), {gh, mean_1, h_s, mean_2, (1 - g) * h_s}, rate_0_.data(), rate_1.data(), rows.data(),
               stage_.data(), part_start_.data());
  transport_.solve(drive_at(a + g * (b - a), start.picture.network, end, n1), gh, stage_);
  lanes::add_stage(rows.size(), (1 - g) / g, stage_.data(), part_start_.data(), rows.data());
  before_last_ = rows;
  transport_.solve(drive_at(b, start.picture.network, end, n1), gh, rows);
  // What decays is written as -decay x + a rest, and the rest is on a straight line: exact (exponential integrator).
  for (std::size_t i = cells_; i < x.size(); ++i) {
    const double decay = n0_.decay[i - cells_];
    const double rest_0 = n0_.rate[i] + decay * start.x[i], rest_1 = n1.rate[i] + decay * x_end[i];
    const double at_a = rest_0 + a * (rest_1 - rest_0), at_b = rest_0 + b * (rest_1 - rest_0);
    x[i] = weights_[i - cells_].move(x[i], h_s, at_a, at_b - at_a);
  }
}

/// For the stages to come, which are of h_s.
void LegStepper::weigh(double h_s) {
  for (std::size_t i = 0; i < weights_.size(); ++i) weights_[i] = Weights::of(n0_.decay[i] * h_s);
}

/// Puts what fades where half of its rates at both ends is what it loses: with z = fade h, x1 = (2 (1 - e^-z)/z - 1) x0 if
/// nothing else moves it. The corrected x is then exact, and so is what others get of it.
void LegStepper::fade(const std::vector<double>& x0, double h_s) {
  for (std::size_t i = cells_; i < x0.size(); ++i) {
    const double fade = n0_.fade[i - cells_];
    if (fade > 0) predicted_[i] = x0[i] + 2 * h_s * Weights::of(fade * h_s).rising * n0_.rate[i];
  }
}

/// Puts the predicted followers where the slopes at the end take them, if that is far enough to matter to others; says
/// how far the first prediction was off, as a share of the tolerance.
double LegStepper::follow(const std::vector<double>& x0, double h_s) {
  const auto states = predicted_.begin() + static_cast<std::ptrdiff_t>(cells_);
  following_.assign(states, predicted_.end());
  double worst = 0;
  for (std::size_t i = cells_; i < x0.size(); ++i) {
    const double decay = n0_.decay[i - cells_];
    if (!(decay > 0)) continue;
    const double rest_0 = n0_.rate[i] + decay * x0[i], rest_1 = n1_.rate[i] + decay * predicted_[i];
    double& there = following_[i - cells_];
    there = weights_[i - cells_].move(x0[i], h_s, rest_0, rest_1 - rest_0);
    worst = std::max(worst, std::abs(there - predicted_[i]) * state_scale_[i - cells_]);
  }
  if (worst > followed) std::copy(following_.begin(), following_.end(), states);
  return worst;
}

double LegStepper::distance(const std::vector<double>& x) const {
  double worst = lanes::worst(rows_.size(), rows_.data(), predicted_rows_.data(), scale_.data());
  for (std::size_t i = cells_; i < x.size(); ++i)
    worst = std::max(worst, std::abs(x[i] - predicted_[i]) * state_scale_[i - cells_]);
  return worst;
}

double LegStepper::estimate_of_states(const std::vector<double>& x) const {
  double worst = 0;
  for (std::size_t i = cells_; i < x.size(); ++i) {
    if (!(n0_.decay[i - cells_] > 0))
      worst = std::max(worst, std::abs(x[i] - predicted_[i]) * state_scale_[i - cells_]);
  }
  return worst;
}

bool LegStepper::any_negative() const {
  const std::size_t width = transport_.width();
  for (std::size_t i = 0; i < transport_.rows(); ++i) {
    if (!is_inner_[transport_.cell_of_row(i)]) continue;
    const double* row = &rows_[i * width];
    if (lanes::any_below(width, row, round_off * std::max(row[0], least_volume_m3), limit_.data())) return true;
  }
  return false;
}

/// A parabola that would take something below zero is not taken, nor any other of this leg, since together they keep sums.
/// The slope at the end is N1 + L X2, and h g L X2 is what the last solution of the transport has changed. What follows
/// fast has there the slope that belongs to where it is: times a long leg, what the prediction got wrong would be a bump.
void LegStepper::bend_inside(const std::vector<double>& x0, const std::vector<double>& x, double h_s,
                             std::vector<double>& arc) {
  std::fill(arc.begin(), arc.end(), 0.0);
  bend_.resize(rows_.size());
  lanes::bend(rows_.size(), start_.data(), rows_.data(), before_last_.data(), rate_1_.data(), h_s, g, bend_.data());
  const std::size_t width = transport_.width();
  for (std::size_t i = 0; i < transport_.rows(); ++i) {
    if (!is_inner_[transport_.cell_of_row(i)]) continue;
    const double little = round_off * std::max(start_[i * width], least_volume_m3);
    if (lanes::any_dip(width, &start_[i * width], &rows_[i * width], &bend_[i * width], little, limit_.data())) return;
  }
  transport_.unpack(bend_, {arc.data(), cells_});
  for (std::size_t i = cells_; i < x.size(); ++i) {
    const double slope = n1_.rate[i] + n0_.decay[i - cells_] * (predicted_[i] - x[i]);  // at the end, not as predicted
    arc[i] = (x[i] - x0[i]) - h_s * slope;
  }
}

/// How far states that follow are from the chord and the parabola in the middle of a leg, where their course is known.
double LegStepper::estimate_inside(const std::vector<double>& x0, const std::vector<double>& x, double h_s,
                                   const std::vector<double>& arc) const {
  double worst = 0;
  for (std::size_t i = cells_; i < x.size(); ++i) {
    const double decay = n0_.decay[i - cells_];
    if (!(decay > 0 && decay < quick)) continue;
    const double rest_0 = n0_.rate[i] + decay * x0[i], rest_1 = n1_.rate[i] + decay * predicted_[i];
    const double middle = Weights::of(decay * h_s / 2).move(x0[i], h_s / 2, rest_0, (rest_1 - rest_0) / 2);
    worst = std::max(worst, std::abs(middle - (x0[i] + x[i]) / 2 - arc[i] / 4) * state_scale_[i - cells_]);
  }
  return worst * of_state / inside;
}

/// A component that was nowhere has come out of something at the end of the leg.
bool LegStepper::something_new() const {
  const std::size_t n = plant_->components();
  for (std::uint32_t j = 0; j < n; ++j) {
    if (presence_[j] != 0 || j == 0) continue;
    for (std::size_t i = j; i < cells_; i += n)
      if (n1_.rate[i] != 0) return true;
  }
  return false;
}

void LegStepper::begin(const LegEnd& start, double time_s, const Surroundings& around) {
  last_ = around.last;
  find_slopes(start.x, time_s, around, start.picture, n0_);
}

/// With readings that units look at as they are at x.
void LegStepper::find_slopes(const std::vector<double>& x, double time_s, const Surroundings& around,
                             const Picture& picture, Slopes& slopes) {
  machine_.look(x, time_s, around, picture, last_);
  machine_.slopes(x, time_s, {around.memory, around.input, last_}, picture, slopes);
}

LegReport LegStepper::advance(const LegEnd& start, const std::vector<double>& flow_trend_m3_s2, double time_s,
                              double h_s, bool whole, const Surroundings& around, LegEnd& end,
                              std::vector<double>& arc) {
  LegReport report;
  const auto too_long = [&](double longest_s) {
    report.longest_s = std::max(longest_s, shortest * plant_->step_s());
    if (h_s <= report.longest_s * (1 + 1e-9)) return false;
    const double times = h_s / report.longest_s;
    report.error = times * times;  // as the error goes: what is made of it has the right length
    return true;
  };
  if (too_long(n0_.longest_leg_s)) return report;
  const std::size_t n = plant_->components();
  const auto volumes = [&](const std::vector<double>& x, std::vector<double>& out) {
    for (std::size_t c = 0; c < out.size(); ++c) out[c] = x[c * n];
  };
  const auto couple = [&](const std::vector<double>& x) {
    const SolveReport solved = machine_.couple(x, time_s + h_s, around, end.picture);
    ++report.solves;
    report.iterations += solved.iterations;
  };
  const std::vector<double>& flow_start = start.picture.network.flow_m3_s;
  volumes(start.x, volume_start_);
  volume_end_ = volume_start_;
  pack_start(start.x, {&n0_});
  transport_.split(flow_start, start_, h_s);
  transport_.add_small(flow_start, n0_.pass, start_, rate_0_);

  carry_on(start, flow_trend_m3_s2, h_s);
  weigh(h_s);
  predicted_ = start.x;
  predicted_rows_ = start_;
  stages(start, carried_, start.x, n0_, rate_0_, 0, 1, h_s, predicted_rows_, predicted_);
  fade(start.x, h_s);
  transport_.unpack(predicted_rows_, {predicted_.data(), cells_});
  end.picture = start.picture;
  couple(predicted_);
  volumes(predicted_, volume_end_);
  find_slopes(predicted_, time_s + h_s, around, end.picture, n1_);
  if (too_long(2 * n1_.longest_leg_s)) return report;  // what begins in the leg may take twice what it asks for
  const double led = follow(start.x, h_s);
  if (led > followed) find_slopes(predicted_, time_s + h_s, around, end.picture, n1_);
  const std::vector<double>& flow_end = end.picture.network.flow_m3_s;
  if (something_new()) {
    pack_start(start.x, {&n0_, &n1_});
    transport_.pack({predicted_.data(), cells_}, predicted_rows_);
    transport_.add_small(flow_start, n0_.pass, start_, rate_0_);
  }
  transport_.pack({n1_.rate.data(), cells_}, rate_1_);
  transport_.split_again(flow_start, flow_end, n0_.pass, start_, h_s, rate_0_);
  transport_.add_small(flow_end, n1_.pass, predicted_rows_, rate_1_);

  report.parts = whole ? 1 : parts_for_positivity(start, end, h_s);
  for (;;) {
    report.error = 0;
    end.x = start.x;
    rows_ = start_;
    if (report.parts > 1) weigh(h_s / report.parts);
    for (int p = 0; p < report.parts; ++p) {
      const double from = static_cast<double>(p) / report.parts, to = static_cast<double>(p + 1) / report.parts;
      stages(start, end.picture.network, predicted_, n1_, rate_1_, from, to, h_s / report.parts, rows_, end.x);
      report.error = std::max(report.error, lanes::worst_bend(rows_.size(), rows_.data(), part_start_.data(),
                                                              stage_.data(), 1 / g, scale_.data()));
    }
    if (whole || report.error * bend <= fine || report.parts == most_parts) break;
    report.parts = std::clamp(static_cast<int>(std::ceil(report.parts * std::sqrt(report.error * bend / fine))),
                              report.parts + 1, most_parts);
  }
  transport_.unpack(rows_, {end.x.data(), cells_});
  report.error = std::max({report.error, estimate_of_states(end.x), of_follower * led});
  report.negative = any_negative();
  if (whole) {
    bend_inside(start.x, end.x, h_s, arc);
    report.error = std::max(report.error, estimate_inside(start.x, end.x, h_s, arc));
  }
  if (std::max(distance(end.x), led) > 1) couple(end.x);
  return report;
}

int LegStepper::parts_for_positivity(const LegEnd& start, const LegEnd& end, double h_s) {
  const std::span<const double> cells(start.x.data(), cells_);
  const double turnover = std::max(fastest_turnover_1_s(*plant_, cells, start.picture.network.flow_m3_s, outflow_),
                                   fastest_turnover_1_s(*plant_, cells, end.picture.network.flow_m3_s, outflow_));
  return static_cast<int>(std::clamp(std::ceil(turnover * h_s / positive_up_to), 1.0, double{most_parts}));
}

}  // namespace wetrun
