// The strip chart: the trainee's own pens, in lanes one above the other, one lane for each unit, as on a recorder with
// several strips of paper.
//
// Wheel: zoom around the mouse. Drag: back in time. Double click: follow the newest again. In the debrief the moments of
// rules and faults are marked, and a click shows that instant.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "trainer/exercise/debrief_data.h"
#include "trainer/window/panel/closeup_art.h"
#include "trainer/window/panel/marks.h"
#include "trainer/window/panel/strip_chart_parts.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {
namespace {

constexpr float side = 16, header = 31, axis = 19, ticks_width = 34, label_width = 182, lane_gap = 8;
constexpr float unseen_px = 0.1F;

class Chart {
public:
  Chart(Stage& stage, StripChartState& state) : stage_(stage), kit_(stage.kit), state_(state) {}

  void draw(const Box& place) {
    prepare();
    begin_panel(kit_, "chart", place);
    list_ = ImGui::GetWindowDrawList();
    const float labels = stage_.debrief ? 2 * kit_.font(Type::small)->FontSize + kit_.px(6) : 0;
    plot_ = {place.x0 + kit_.px(side + ticks_width), place.y0 + kit_.px(header) + labels,
             place.x1 - kit_.px(side + label_width), place.y1 - kit_.px(axis + 7)};
    place_ = place;
    work_mouse();
    span_ = chart_span(stage_.film.start_s(), end_s(), state_.window_s, right());
    if (!may_look_back()) move_by_whole_pixels();
    lanes_ = lanes(stage_.preferences, pens(), tracks(), span_.from_s, span_.to_s);
    place_lanes();
    draw_time_axis();
    for (std::size_t i = 0; i < lanes_.size(); ++i) draw_lane(i);
    draw_marks();
    draw_cursor();
    draw_labels();
    draw_header();
    end_panel(kit_);
    if (state_.choosing) choose_pens(stage_, place, state_);
  }

private:
  const std::vector<Pen>& pens() const { return state_.memory->pens; }
  const PenTracks& tracks() const { return state_.memory->tracks; }
  double end_s() const { return state_.memory->end_s; }
  const double* right() const { return state_.right_s ? &*state_.right_s : nullptr; }
  float x_of(double time_s) const {
    return plot_.x0 + static_cast<float>((time_s - span_.from_s) / (span_.to_s - span_.from_s)) * plot_.width();
  }
  double time_at(float x) const {
    return span_.from_s + static_cast<double>((x - plot_.x0) / plot_.width()) * (span_.to_s - span_.from_s);
  }
  float y_of(std::size_t lane, double value) const {
    const Lane& l = lanes_[lane];
    const Box& b = lane_boxes_[lane];
    const double share = (value - l.low) / (l.high - l.low);
    return b.y1 - static_cast<float>(std::clamp(share, -0.5, 1.5)) * b.height();
  }
  float hair() const { return std::max(1.0F, std::floor(kit_.px(0.8F))); }

  void prepare() {
    if (!state_.memory) state_.memory = std::make_shared<ChartMemory>();
    if (!state_.chosen) {
      if (state_.pens.empty()) state_.pens = first_pens(stage_.signals, stage_.scene);
      state_.chosen = stage_.signals.size() > 0;
    }
    if (state_.pens.size() > most_pens) state_.pens.resize(most_pens);
    ChartMemory& memory = *state_.memory;
    if (memory.names != state_.pens || memory.signals != &stage_.signals) {
      memory.names = state_.pens;
      memory.signals = &stage_.signals;
      memory.pens.clear();
      for (const std::string& name : state_.pens)
        if (Pen pen = pen_for(stage_.signals, stage_.scene, name); pen.signal.valid()) memory.pens.push_back(pen);
    }
    std::vector<SignalId> ids;
    for (const Pen& pen : memory.pens) ids.push_back(pen.signal);
    memory.tracks.update(stage_.film, ids);
    if (memory.beat_s != kit_.wall_s || kit_.calm || stage_.film.end_s() < memory.end_s || may_look_back()) {
      memory.beat_s = kit_.wall_s;
      memory.end_s = stage_.film.end_s();
      memory.frame = stage_.frame;
    }
    const std::vector<ActionRecord> nothing;
    const bool tell_desk = stage_.picture.mode == Mode::practice || stage_.debrief != nullptr;
    memory.log.update({stage_.preferences, stage_.signals, stage_.scene, stage_.film,
                       stage_.picture.time_line ? *stage_.picture.time_line : nothing, tell_desk, "", end_s()});
  }

  void work_mouse() {
    span_ = chart_span(stage_.film.start_s(), end_s(), state_.window_s, right());
    ImGui::SetCursorScreenPos(vec({plot_.x0, plot_.y0}));
    ImGui::PushID("chart/plot");
    ImGui::InvisibleButton("##plot", {std::max(1.0F, plot_.width()), std::max(1.0F, plot_.height())});
    ImGui::PopID();
    kit_.boxes->add(BoxKind::region, "chart/plot", plot_, place_);
    const ImGuiIO& io = ImGui::GetIO();
    hovered_ = ImGui::IsItemHovered();
    const double start = stage_.film.start_s(), end = end_s();
    if (hovered_ && io.MouseWheel != 0) {
      bool following = !state_.right_s;
      double right_s = state_.right_s.value_or(end);
      zoom_chart(start, end, time_at(io.MousePos.x), std::pow(1.25, static_cast<double>(io.MouseWheel)),
                 state_.window_s, following, right_s);
      state_.right_s = following ? std::nullopt : std::optional<double>(right_s);
    }
    if (ImGui::IsItemActive() && ImGui::IsMouseDragging(0, kit_.px(3))) pan(io.MouseDelta.x, start, end);
    if (hovered_ && ImGui::IsMouseDoubleClicked(0)) state_.right_s.reset();
    const bool still = io.MouseDragMaxDistanceSqr[0] < kit_.px(3) * kit_.px(3);
    const bool clicked = ImGui::IsItemDeactivated() && hovered_ && still;
    if (clicked && !stage_.live && may_look_back() && !stage_.film.empty())
      stage_.requests.push_back(request::ShowInstant{std::clamp(snapped(io.MousePos.x), start, end)});
    if (stage_.live || !may_look_back())
      state_.cursor_s = hovered_ ? std::optional<double>(std::clamp(time_at(io.MousePos.x), start, end)) : std::nullopt;
  }

  bool may_look_back() const { return stage_.debrief != nullptr || stage_.picture.mode == Mode::replay; }

  void pan(float dx, double start, double end) {
    const double moved = -static_cast<double>(dx / plot_.width()) * (span_.to_s - span_.from_s);
    double right_s = state_.right_s.value_or(span_.to_s) + moved;
    right_s = std::max(right_s, std::min(start + state_.window_s, end));
    state_.right_s = right_s >= end ? std::nullopt : std::optional<double>(right_s);
  }

  /// Paper that moves by parts of a pixel would have to be painted in every frame, and shimmers.
  void move_by_whole_pixels() {
    const double pixel_s = (span_.to_s - span_.from_s) / std::max(1.0, static_cast<double>(plot_.width()));
    const double beyond_s = span_.to_s - std::floor(span_.to_s / pixel_s) * pixel_s;
    span_.from_s -= beyond_s;
    span_.to_s -= beyond_s;
  }

  void place_lanes() {
    lane_boxes_.clear();
    float weights = 0;
    const auto weight = [](const Lane& lane) {
      return lane.unit.empty() ? 0.55F + 0.25F * static_cast<float>(lane.pens.size())
                               : 0.8F + 0.3F * static_cast<float>(lane.pens.size());
    };
    for (const Lane& lane : lanes_) weights += weight(lane);
    const float gaps = kit_.px(lane_gap) * static_cast<float>(lanes_.empty() ? 0 : lanes_.size() - 1);
    float y = plot_.y0;
    for (const Lane& lane : lanes_) {
      const float high = (plot_.height() - gaps) * weight(lane) / weights;
      lane_boxes_.push_back({plot_.x0, std::round(y), plot_.x1, std::round(y + high)});
      y += high + kit_.px(lane_gap);
    }
  }

  void draw_time_axis() {
    const double step =
        time_step(span_.to_s - span_.from_s, std::max(2, static_cast<int>(plot_.width() / kit_.px(74))));
    const Box area =
        lane_boxes_.empty() ? plot_ : Box{plot_.x0, lane_boxes_.front().y0, plot_.x1, lane_boxes_.back().y1};
    for (double t = std::ceil(span_.from_s / step - 1e-9) * step; t <= span_.to_s + 1e-6; t += step) {
      const float x = std::floor(x_of(t));
      list_->AddRectFilled({x, area.y0}, {x + hair(), area.y1}, fade(kit_.colour.rule, 0.75F));
      const std::string words = clock_text(t);
      const float wide = measure(kit_, Type::small, words).x;
      const float left = between(x - wide / 2, plot_.x0 - kit_.px(10), plot_.x1 - wide + kit_.px(10));
      put_text(kit_, *list_, Type::small, {left, plot_.y1 + kit_.px(4)}, kit_.colour.ink_soft, words, Align::left,
               fmt::format("chart/time/{:.0f}", t));
    }
  }

  void draw_lane(std::size_t i) {
    const Lane& lane = lanes_[i];
    const Box& box = lane_boxes_[i];
    list_->AddRectFilled({box.x0, box.y0}, {box.x1, box.y1}, fade(kit_.colour.sheet_shade, 0.28F));
    const float size = kit_.font(Type::small)->FontSize;
    float last_y = 1e9F;
    for (std::size_t k = 0; k < lane.ticks.size(); ++k) {
      const double value = lane.ticks[k];
      const float y = std::floor(y_of(i, value));
      list_->AddRectFilled({box.x0, y}, {box.x1, y + hair()}, fade(kit_.colour.rule, 0.9F));
      if (lane.unit.empty()) continue;
      const float top = std::clamp(y - size / 2, box.y0 - size * 0.3F, std::max(box.y0, box.y1 - size * 0.7F));
      if (last_y - top < size * 0.94F) continue;
      last_y = top;
      put_text(kit_, *list_, Type::small, {box.x0 - kit_.px(6), top}, kit_.colour.ink_soft, tick_text(lane, value),
               Align::right);
    }
    draw_traces(i);
  }

  std::string tick_text(const Lane& lane, double value) const {
    const double shown = in_unit_shown(stage_.preferences, value, lane.unit);
    return std::abs(shown) < 1e-9 ? "0" : fmt::format("{:.4g}", shown);
  }

  void draw_traces(std::size_t i) {
    const Box& box = lane_boxes_[i];
    list_->PushClipRect({box.x0, box.y0 - kit_.px(1)}, {box.x1, box.y1 + kit_.px(1)}, true);
    const float origin =
        plot_.x0 - static_cast<float>(
                       std::fmod(span_.from_s / (span_.to_s - span_.from_s) * static_cast<double>(plot_.width()), 1e5));
    for (const std::size_t pen : lanes_[i].pens) {
      std::vector<ImVec2> points;
      const auto flush = [&] {
        std::vector<float> dash = dash_of(pen);
        for (float& part : dash) part = kit_.px(part);
        draw_pen(*list_, thinned(points, unseen_px), kit_.colour.pen[pen], art::stroke(kit_.px(1.7F)), dash, origin);
        points.clear();
      };
      for (const TracePoint& p : trace(tracks().times_s(), tracks().values(pen), span_.from_s, span_.to_s,
                                       static_cast<int>(plot_.width() / std::max(1.0F, kit_.scale)))) {
        if (std::isfinite(p.value))
          points.push_back({x_of(p.time_s), y_of(i, static_cast<double>(p.value))});
        else
          flush();
      }
      flush();
    }
    list_->PopClipRect();
  }

  // --- marks -----------------------------------------------------------------------------------------------------
  /// The time of the mark nearest to a place, if one is near; else the time there.
  double snapped(float x) const {
    double best = time_at(x);
    float nearest = kit_.px(7);
    for (const ChartMark& mark : marks_)
      if (std::abs(x_of(mark.time_s) - x) < nearest) {
        nearest = std::abs(x_of(mark.time_s) - x);
        best = mark.time_s;
      }
    return best;
  }

  void draw_marks() {
    marks_ = chart_marks(state_.memory->log.events(), stage_.debrief);
    const float foot = plot_.y1;
    for (const ChartMark& mark : marks_) {
      if (mark.time_s < span_.from_s || mark.time_s > span_.to_s) continue;
      const float x = std::round(x_of(mark.time_s));
      const bool loud = mark.kind != ChartMark::Kind::action;
      const ImU32 colour = colour_of(mark.kind);
      if (!loud) {
        list_->AddRectFilled({x, foot - kit_.px(5)}, {x + hair(), foot + kit_.px(2)}, fade(kit_.colour.ink_soft, 0.8F));
        continue;
      }
      if (mark.kind != ChartMark::Kind::met)
        list_->AddRectFilled({x, plot_.y0}, {x + hair(), foot}, fade(colour, 0.45F));
      if (mark.kind == ChartMark::Kind::fault)
        draw_diamond(*list_, {x, foot - kit_.px(1)}, kit_.px(10), colour, true);
      else if (mark.kind == ChartMark::Kind::met)
        draw_square(*list_, {x, foot - kit_.px(1)}, kit_.px(6), colour);
      else
        draw_triangle(*list_, {x, foot - kit_.px(1)}, kit_.px(10), colour);
    }
    label_marks();
  }

  ImU32 colour_of(ChartMark::Kind kind) const {
    switch (kind) {
      case ChartMark::Kind::broken:
      case ChartMark::Kind::danger:
        return kit_.colour.alarm;
      case ChartMark::Kind::caution:
        return kit_.colour.caution;
      case ChartMark::Kind::fault:
        return kit_.colour.ink;
      default:
        return kit_.colour.hand;
    }
  }

  /// Afterwards: as many labels as have room over the paper, in two rows, the worst first.
  void label_marks() {
    if (stage_.debrief == nullptr) return;
    std::vector<const ChartMark*> order;
    for (const ChartMark& mark : marks_)
      if (mark.labelled && mark.time_s >= span_.from_s && mark.time_s <= span_.to_s) order.push_back(&mark);
    std::stable_sort(order.begin(), order.end(), [](const auto* a, const auto* b) { return a->kind < b->kind; });
    std::vector<Box> taken;
    const float line = kit_.font(Type::small)->FontSize, limit = place_.x1 - kit_.px(side);
    for (const ChartMark* mark : order) {
      const float x = std::round(x_of(mark->time_s));
      const std::string words = shorten(kit_, Type::small, mark->text, kit_.px(260));
      const float wide = measure(kit_, Type::small, words).x;
      const float left = x + kit_.px(5) + wide > limit ? x - kit_.px(5) - wide : x + kit_.px(5);
      for (int row = 0; row < 2; ++row) {
        const float foot = plot_.y0 - kit_.px(3) - static_cast<float>(row) * (line + kit_.px(1));
        const Box at{std::min(left, x) - kit_.px(3), foot - line, std::max(left + wide, x) + kit_.px(6), foot};
        if (std::any_of(taken.begin(), taken.end(), [&](const Box& b) { return b.overlaps(at); })) continue;
        taken.push_back(at);
        list_->AddRectFilled({x, foot - line * 0.75F}, {x + hair(), plot_.y0}, fade(colour_of(mark->kind), 0.45F));
        put_text(kit_, *list_, Type::small, {left, at.y0}, blend(colour_of(mark->kind), kit_.colour.ink, 0.25F), words);
        break;
      }
    }
  }

  // --- reading off -----------------------------------------------------------------------------------------------
  std::optional<double> reading_s() const {
    if (hovered_ && !stage_.film.empty())
      return std::clamp(time_at(ImGui::GetIO().MousePos.x), stage_.film.start_s(), end_s());
    if (!stage_.live && may_look_back()) return state_.cursor_s;
    return std::nullopt;
  }

  void draw_cursor() {
    const auto line = [&](double t, ImU32 colour) {
      if (t < span_.from_s || t > span_.to_s) return;
      const float x = std::floor(x_of(t)), wide = std::max(1.0F, std::floor(kit_.px(1.2F)));
      list_->AddRectFilled({x, plot_.y0 - kit_.px(3)}, {x + wide, plot_.y1 + kit_.px(3)}, colour);
    };
    if (!stage_.live && state_.cursor_s && may_look_back()) {
      line(*state_.cursor_s, kit_.colour.hand);
      if (*state_.cursor_s >= span_.from_s && *state_.cursor_s <= span_.to_s) {
        const float x = std::floor(x_of(*state_.cursor_s));
        list_->AddTriangleFilled({x - kit_.px(5), plot_.y0 - kit_.px(8)}, {x + kit_.px(6), plot_.y0 - kit_.px(8)},
                                 {x + kit_.px(0.5F), plot_.y0 - kit_.px(1)}, kit_.colour.hand);
      }
    }
    if (hovered_)
      if (const std::optional<double> at = reading_s()) line(*at, fade(kit_.colour.ink, 0.7F));
  }

  double value_of(const Pen& pen, const std::optional<double>& at) const {
    if (at && !stage_.film.empty()) {
      const Frame& frame = stage_.film.frame(stage_.film.index_at(*at));
      if (pen.signal.index() < frame.value.size()) return frame[pen.signal];
    }
    const Frame& newest = state_.memory->frame;
    return pen.signal.index() < newest.value.size() ? newest[pen.signal] : 0;
  }

  /// At the right end of each line, moved apart where lines run together.
  void draw_labels() {
    const std::optional<double> at = hovered_ ? reading_s() : std::nullopt;
    struct Label {
      std::size_t pen;
      float y;
    };
    std::vector<Label> labels;
    const float line = kit_.font(Type::strong)->FontSize;
    for (std::size_t i = 0; i < lanes_.size(); ++i)
      for (const std::size_t pen : lanes_[i].pens) {
        const float y = y_of(i, value_of(pens()[pen], at));
        labels.push_back(
            {pen, between(y, lane_boxes_[i].y0 + line * 0.4F, lane_boxes_[i].y1 - line * 0.4F) - line / 2});
      }
    std::stable_sort(labels.begin(), labels.end(), [](const Label& a, const Label& b) { return a.y < b.y; });
    const float pitch =
        std::min(line * 1.02F, plot_.height() / static_cast<float>(std::max<std::size_t>(1, labels.size())));
    for (int round = 0; round < 24; ++round)
      for (std::size_t i = 0; i + 1 < labels.size(); ++i)
        if (const float missing = pitch - (labels[i + 1].y - labels[i].y); missing > 0) {
          labels[i].y -= missing / 2;
          labels[i + 1].y += missing / 2;
        }
    const float lowest = plot_.y1 - line * 0.85F, highest = plot_.y0 - line * 0.15F;
    for (std::size_t i = labels.size(); i-- > 0;)
      labels[i].y = std::min(labels[i].y, (i + 1 < labels.size() ? labels[i + 1].y - pitch : lowest));
    for (std::size_t i = 0; i < labels.size(); ++i)
      labels[i].y = std::max(labels[i].y, i > 0 ? labels[i - 1].y + pitch : highest);
    for (const Label& label : labels) draw_label(label.pen, label.y, at);
  }

  void draw_label(std::size_t index, float y, const std::optional<double>& at) {
    const Pen& pen = pens()[index];
    const float x0 = plot_.x1 + kit_.px(8), swatch = kit_.px(20), x1 = place_.x1 - kit_.px(side - 4);
    const float line = kit_.font(Type::strong)->FontSize, middle = y + line / 2;
    std::vector<float> dash = dash_of(index);
    for (float& part : dash) part = kit_.px(part) * 0.75F;
    draw_pen(*list_, {{x0, middle}, {x0 + swatch, middle}}, kit_.colour.pen[index], art::stroke(kit_.px(2.2F)), dash,
             x0);
    const std::string value = shorten(kit_, Type::strong, pen_value(stage_.preferences, pen, value_of(pen, at)),
                                      (x1 - x0 - swatch) * (pen.yes_no ? 0.5F : 0.62F));
    const float value_x = x0 + swatch + kit_.px(6);
    put_text(kit_, *list_, Type::strong, {value_x, y}, blend(kit_.colour.pen[index], kit_.colour.ink, 0.35F), value,
             Align::left, "chart/pen/" + pen.name);
    const float after = value_x + measure(kit_, Type::strong, value).x + kit_.px(6);
    const float small = kit_.font(Type::small)->FontSize;
    put_text(kit_, *list_, Type::small, {after, y + (line - small) * 0.72F}, kit_.colour.ink_soft,
             shorten(kit_, Type::small, pen.label, x1 - after), Align::left, "chart/label/" + pen.name);
  }

  void draw_header() {
    const float y = place_.y0 + kit_.px(9), small = kit_.font(Type::small)->FontSize;
    float right = place_.x1 - kit_.px(side - 6);
    const auto quiet = [&](const char* name, const char* words) {
      const float wide = measure(kit_, Type::small, words).x + kit_.px(14), high = small + kit_.px(6);
      right -= wide;
      ImGui::SetCursorScreenPos({right, y - kit_.px(3)});
      ImGui::PushID(name);
      const bool pressed = ImGui::InvisibleButton("##header", {wide, high});
      ImGui::PopID();
      const bool over = ImGui::IsItemHovered();
      if (over) {
        ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
        list_->AddRectFilled({right, y - kit_.px(3)}, {right + wide, y - kit_.px(3) + high}, kit_.colour.sheet_shade,
                             kit_.px(3));
      }
      put_text(kit_, *list_, Type::small, {right + wide / 2, y}, kit_.colour.hand, words, Align::middle);
      kit_.boxes->add(BoxKind::button, name, {right, y - kit_.px(3), right + wide, y - kit_.px(3) + high}, place_);
      right -= kit_.px(2);
      return pressed;
    };
    if (quiet("chart/pens", state_.choosing ? "Close" : "Pens")) state_.choosing = !state_.choosing;
    if (state_.right_s && quiet("chart/newest", "Newest")) state_.right_s.reset();
    const float left = place_.x0 + kit_.px(side);
    put_text(kit_, *list_, Type::small, {left, y}, kit_.colour.ink_soft,
             shorten(kit_, Type::small, headline(), right - kit_.px(8) - left), Align::left, "chart/headline");
  }

  /// What the line above the paper says: the time under the mouse and what happened there; else how much is shown.
  std::string headline() const {
    if (pens().empty()) return "No pens: press Pens and choose what to write";
    if (hovered_ && reading_s()) {
      std::string words = clock_text(*reading_s());
      const float x = x_of(*reading_s());
      const ChartMark* near = nullptr;
      for (const ChartMark& mark : marks_)
        if (std::abs(x_of(mark.time_s) - x) < kit_.px(6) && (!near || mark.kind < near->kind)) near = &mark;
      return near ? words + "   " + near->text : words;
    }
    const std::string length = length_text(span_.to_s - span_.from_s);
    if (!stage_.live && may_look_back() && state_.cursor_s) return "Shown: " + clock_text(*state_.cursor_s);
    return state_.right_s ? length + " up to " + clock_text(span_.to_s) : "Strip chart, the last " + length;
  }

  Stage& stage_;
  Kit& kit_;
  StripChartState& state_;
  ImDrawList* list_ = nullptr;
  Box place_, plot_;
  ChartSpan span_;
  std::vector<Lane> lanes_;
  std::vector<Box> lane_boxes_;
  std::vector<ChartMark> marks_;
  bool hovered_ = false;
};

}  // namespace

void strip_chart(Stage& stage, const Box& place, StripChartState& state) { Chart(stage, state).draw(place); }

}  // namespace wetrun::ui
