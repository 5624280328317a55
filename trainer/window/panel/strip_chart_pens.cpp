// Choosing pens, and what is marked on the paper.
#include <algorithm>

#include "trainer/exercise/debrief_data.h"
#include "trainer/window/panel/marks.h"
#include "trainer/window/panel/strip_chart_parts.h"
#include "trainer/window/view/words.h"

namespace wetrun::ui {
namespace {

ChartMark::Kind kind_of(EventKind kind) {
  if (kind == EventKind::danger) return ChartMark::Kind::danger;
  return kind == EventKind::caution ? ChartMark::Kind::caution : ChartMark::Kind::action;
}

void draw_row(Stage& stage, const Pen& pen, StripChartState& state) {
  Kit& kit = stage.kit;
  const auto place = std::find(state.pens.begin(), state.pens.end(), pen.name);
  const bool on = place != state.pens.end(), may = on || state.pens.size() < most_pens;
  const std::string name = "chart/choose/" + pen.name;
  const float high = kit.font(Type::body)->FontSize + kit.px(8), wide = ImGui::GetContentRegionAvail().x;
  const ImVec2 at = ImGui::GetCursorScreenPos();
  ImGui::PushID(name.c_str());
  const bool pressed = ImGui::InvisibleButton("##pen", {wide, high});
  ImGui::PopID();
  const bool hovered = ImGui::IsItemHovered();
  ImDrawList& list = *ImGui::GetWindowDrawList();
  if (hovered && may) {
    ImGui::SetMouseCursor(ImGuiMouseCursor_Hand);
    list.AddRectFilled(at, {at.x + wide, at.y + high}, fade(kit.colour.sheet_shade, 0.7F), kit.px(3));
  }
  const float y = at.y + high / 2, line = kit.font(Type::body)->FontSize, swatch = kit.px(26);
  if (on) {
    const auto index = static_cast<std::size_t>(place - state.pens.begin());
    std::vector<float> dash = dash_of(index);
    for (float& part : dash) part = kit.px(part) * 0.75F;
    draw_pen(list, {{at.x + kit.px(4), y}, {at.x + kit.px(4) + swatch, y}}, kit.colour.pen[index], kit.px(2.4F), dash,
             at.x + kit.px(4));
  } else {
    list.AddCircle({at.x + kit.px(4) + swatch / 2, y}, kit.px(4), may ? kit.colour.ink_faint : kit.colour.rule, 24,
                   kit.px(1.1F));
  }
  const std::string value =
      pen.signal.index() < stage.frame.value.size() ? pen_value(stage.preferences, pen, stage.frame[pen.signal]) : "";
  const std::string shown_value = shorten(kit, Type::body, value, wide * 0.36F);
  const float value_wide = measure(kit, Type::body, shown_value).x, left = at.x + swatch + kit.px(14);
  put_text(kit, list, Type::body, {at.x + wide - kit.px(4), y - line / 2}, kit.colour.ink_soft, shown_value,
           Align::right);
  put_text(kit, list, on ? Type::strong : Type::body, {left, y - line / 2}, may ? kit.colour.ink : kit.colour.ink_faint,
           shorten(kit, Type::strong, pen.label, at.x + wide - kit.px(14) - value_wide - left));
  const ImVec2 low = list.GetClipRectMin(), edge = list.GetClipRectMax();
  const Box box{at.x, at.y, at.x + wide, at.y + high};
  kit.boxes->add(BoxKind::button, name, box, {low.x, low.y, edge.x, edge.y}, box.y0 < low.y - 1 || box.y1 > edge.y + 1);
  if (!pressed || !may) return;
  if (on)
    state.pens.erase(place);
  else
    state.pens.push_back(pen.name);
}

}  // namespace

std::vector<ChartMark> chart_marks(const std::vector<Event>& events, const DebriefData* debrief) {
  std::vector<ChartMark> marks;
  for (const Event& event : events)
    if (event.kind != EventKind::over && event.kind != EventKind::phase)
      marks.push_back({event.time_s, kind_of(event.kind), event.text, false});
  if (debrief == nullptr) return marks;
  for (const RuleResult& rule : debrief->rules) {
    if (rule.evidence.empty()) continue;
    const ChartMark::Kind kind = rule.met ? ChartMark::Kind::met : ChartMark::Kind::broken;
    marks.push_back(
        {rule.evidence.front().time_s, kind, (rule.met ? "met: " : "not met: ") + spaced(rule.name), !rule.met});
  }
  for (const FaultResult& fault : debrief->faults)
    marks.push_back({fault.since_s, ChartMark::Kind::fault,
                     fault.note.empty() ? "fault: " + spaced(fault.signal) : fault.note, true});
  return marks;
}

void choose_pens(Stage& stage, const Box& chart, StripChartState& state) {
  Kit& kit = stage.kit;
  const Box& screen = kit.boxes->screen();
  const float wide = std::min(kit.px(380), screen.width() - kit.px(24)), high = kit.px(430);
  const float bottom = chart.y0 - kit.px(8) - screen.y0 > kit.px(260) ? chart.y0 - kit.px(8) : chart.y1 - kit.px(8);
  const float right = std::min(chart.x1 - kit.px(8), screen.x1 - kit.px(8));
  const Box place{right - wide, std::max(screen.y0 + kit.px(56), bottom - high), right, bottom};
  kit.boxes->push_layer("pens");
  begin_panel(kit, "chart/chooser", place, "Pens");
  if (ImGui::IsWindowAppearing()) ImGui::SetWindowFocus();
  paragraph(kit, Type::small, "Up to six. Whatever can be read at the skid can be drawn.", kit.colour.ink_soft,
            "chart/chooser/words");
  gap(kit, 6);
  entry(kit, "chart/filter", state.filter, -1, "part of a name or tag");
  gap(kit, 6);
  const float foot = kit.px(40);
  ImGui::BeginChild("chart/list", {0, ImGui::GetContentRegionAvail().y - foot});
  ImGui::PushStyleVar(ImGuiStyleVar_ItemSpacing, ImVec2(0, kit.px(1)));
  std::size_t shown = 0;
  for (const Pen& pen : pen_choices(stage.signals, stage.scene)) {
    if (!pen_matches(pen, state.filter)) continue;
    draw_row(stage, pen, state);
    ++shown;
  }
  ImGui::PopStyleVar();
  if (shown == 0) text(kit, Type::body, "Nothing of that name can be read here", kit.colour.ink_soft, "chart/none");
  soft_edges(kit);
  ImGui::EndChild();
  if (button(kit, "chart/pens_done", "Done", Weight::normal)) state.choosing = false;
  const Box& hold = place;
  const ImGuiIO& io = ImGui::GetIO();
  if (ImGui::IsMouseClicked(0) && !hold.holds(Point{io.MousePos.x, io.MousePos.y}) &&
      !chart.holds(Point{io.MousePos.x, io.MousePos.y}))
    state.choosing = false;
  end_panel(kit);
  kit.boxes->pop_layer();
}

}  // namespace wetrun::ui
