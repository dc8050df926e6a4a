#include "present/spectrum_text.hpp"

#include <fmt/format.h>

namespace slowdawn {
namespace {

std::string share_text(double share) { return fmt::format("{:.1f} %", 100.0 * share); }

std::string meter_cell(const std::optional<double>& error) {
  return error ? fmt::format("{:+.1f} %", 100.0 * *error) : "-";
}

}  // namespace

std::string spectra_text(const Tank& tank, const TextStyle& style) {
  using Align = TextTable::Align;
  TextTable table{{{"light", Align::left},
                   {"umol/J", Align::right},
                   {"lux per umol", Align::right},
                   {"400-500", Align::right},
                   {"500-600", Align::right},
                   {"600-700 nm", Align::right},
                   {"meter", Align::right}}};
  bool has_one = false;
  for (const TankLight& light : tank.lights) {
    if (!light.spectrum) continue;
    has_one = true;
    const SpectrumFigures& figures = light.spectrum->figures;
    table.add({to_safe_text(light.name),
               fmt::format("{:.2f}", figures.photons_per_joule.umol_per_joule()),
               fmt::format("{:.1f}", figures.lux_per_ppfd.lux_per_umol()),
               share_text(figures.share_400_500), share_text(figures.share_500_600),
               share_text(figures.share_600_700), meter_cell(light.spectrum->meter_error)});
  }
  if (!has_one) return "";
  std::string heading =
      "By its spectrum, 400 to 700 nm: photons in a joule, lux for one umol m-2 s-1, shares of "
      "the photons";
  heading += tank.meter.response
                 ? "; meter: how far it is off under this light (readings stay as they are)"
                 : "; what the meter makes of it takes its \"response\"";
  return wrap(heading, style) + "\n" + table.to_text(style);
}

void add_spectra(Json& json, const Tank& tank) {
  Json spectra = Json::array();
  for (const TankLight& light : tank.lights) {
    if (!light.spectrum) continue;
    const auto& [spectrum, figures, meter_error] = *light.spectrum;
    spectra.push_back({{"light", light.name},
                       {"umol_per_joule", figures.photons_per_joule.umol_per_joule()},
                       {"lux_per_ppfd", figures.lux_per_ppfd.lux_per_umol()},
                       {"share_400_500", figures.share_400_500},
                       {"share_500_600", figures.share_500_600},
                       {"share_600_700", figures.share_600_700},
                       {"meter_error", meter_error ? Json(*meter_error) : Json(nullptr)}});
  }
  if (!spectra.empty()) json["spectra"] = std::move(spectra);
}

}  // namespace slowdawn
