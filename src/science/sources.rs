//! The one bibliography: every formula names its source by a key of this list, and a page prints the list.

/// A published work, or the plain statement that there is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Source {
    /// `author_year`, or a standard's number.
    pub key: &'static str,
    /// The citation as a page prints it.
    pub citation: &'static str,
    /// How far the work itself was checked, in words for a page.
    pub standing: &'static str,
}

/// The source of a key.
///
/// ```
/// # use polypary::science::sources::source;
/// let density = source("millero_poisson_1981").unwrap();
/// assert!(density.citation.contains("International one-atmosphere equation of state"));
/// assert_eq!(source("common-practice").unwrap().citation, "Common practice, no source");
/// assert_eq!(source("nobody_1066"), None);
/// ```
pub fn source(key: &str) -> Option<&'static Source> {
    ALL.iter().find(|source| source.key == key)
}

/// Every source: the entry for common practice first, then by key.
pub fn all() -> &'static [Source] {
    ALL
}

const LIBRARY: &str = "the original not seen; the formula's numbers agree with an independent scientific library";
const QUOTED: &str = "seen as quoted by others, not in the original";
const MEMORY: &str = "from memory, not verified against the source";
const COMMON: &str = "a habit of the trade";

#[rustfmt::skip]
const ALL: &[Source] = &[
    Source { key: "common-practice", citation: "Common practice, no source", standing: COMMON },
    Source { key: "abramowitz_stegun_1964", citation: "Abramowitz, M., Stegun, I. A. (1964) Handbook of Mathematical Functions, National Bureau of Standards Applied Mathematics Series 55", standing: MEMORY },
    Source { key: "aitken_1935", citation: "Aitken, A. C. (1935) On least squares and linear combination of observations, Proceedings of the Royal Society of Edinburgh 55, 42–48", standing: MEMORY },
    Source { key: "ashrae_2017", citation: "ASHRAE (2017) Handbook: Fundamentals (SI), chapter 1, Psychrometrics, equations 5 and 6", standing: LIBRARY },
    Source { key: "ashrae_applications_2019", citation: "ASHRAE (2019) Handbook: HVAC Applications, chapter on indoor pools", standing: MEMORY },
    Source { key: "atkinson_smith_1983", citation: "Atkinson, M. J., Smith, S. V. (1983) C:N:P ratios of benthic marine plants, Limnology and Oceanography 28, 568–574", standing: QUOTED },
    Source { key: "benson_krause_1984", citation: "Benson, B. B., Krause, D. (1984) The concentration and isotopic fractionation of oxygen dissolved in freshwater and seawater in equilibrium with the atmosphere, Limnology and Oceanography 29, 620–632", standing: MEMORY },
    Source { key: "birge_1932", citation: "Birge, R. T. (1932) The calculation of errors by the method of least squares, Physical Review 40, 207–227", standing: MEMORY },
    Source { key: "bs_7671", citation: "BS 7671 Requirements for Electrical Installations, regulation 433.1.1", standing: MEMORY },
    Source { key: "churchill_1977", citation: "Churchill, S. W. (1977) Friction-factor equation spans all fluid-flow regimes, Chemical Engineering 84(24), 91–92", standing: LIBRARY },
    Source { key: "cie_015_2018", citation: "CIE 015:2018 Colorimetry, 4th edition; spectral luminous efficiency V(λ) of 1924", standing: LIBRARY },
    Source { key: "clegg_whitfield_1995", citation: "Clegg, S. L., Whitfield, M. (1995) A chemical model of seawater including dissolved ammonia and the stoichiometric dissociation constant of ammonia in estuarine water and seawater from −2 to 40 °C, Geochimica et Cosmochimica Acta 59, 2403–2421", standing: LIBRARY },
    Source { key: "cleveland_1979", citation: "Cleveland, W. S. (1979) Robust locally weighted regression and smoothing scatterplots, Journal of the American Statistical Association 74, 829–836", standing: LIBRARY },
    Source { key: "colebrook_1939", citation: "Colebrook, C. F. (1939) Turbulent flow in pipes, with particular reference to the transition region between the smooth and rough pipe laws, Journal of the Institution of Civil Engineers 11, 133–156", standing: LIBRARY },
    Source { key: "crane_2009", citation: "Crane Co. (2009) Flow of Fluids Through Valves, Fittings and Pipe, Technical Paper 410", standing: LIBRARY },
    Source { key: "culkin_smith_1980", citation: "Culkin, F., Smith, N. D. (1980) Determination of the concentration of potassium chloride solution having the same electrical conductivity, at 15 °C and infinite frequency, as standard seawater of salinity 35.0000 ‰, IEEE Journal of Oceanic Engineering 5, 22–23", standing: QUOTED },
    Source { key: "daniels_1944", citation: "Daniels, H. E. (1944) The relation between measures of correlation in the universe of sample permutations, Biometrika 33, 129–135", standing: MEMORY },
    Source { key: "dickson_1990a", citation: "Dickson, A. G. (1990) Standard potential of the reaction AgCl(s) + ½H₂(g) = Ag(s) + HCl(aq), and the standard acidity constant of the ion HSO₄⁻ in synthetic sea water from 273.15 to 318.15 K, Journal of Chemical Thermodynamics 22, 113–127", standing: LIBRARY },
    Source { key: "dickson_1990b", citation: "Dickson, A. G. (1990) Thermodynamics of the dissociation of boric acid in synthetic seawater from 273.15 to 318.15 K, Deep-Sea Research 37, 755–766", standing: LIBRARY },
    Source { key: "dickson_2007", citation: "Dickson, A. G., Sabine, C. L., Christian, J. R. (2007) Guide to Best Practices for Ocean CO₂ Measurements, PICES Special Publication 3", standing: QUOTED },
    Source { key: "en_572", citation: "EN 572-1 Glass in building: basic soda lime silicate glass products (density 2500 kg/m³, characteristic strength 45 MPa)", standing: MEMORY },
    Source { key: "en_673", citation: "EN 673 Glass in building: determination of thermal transmittance (U value)", standing: MEMORY },
    Source { key: "epa_2006", citation: "US Environmental Protection Agency (2006) Data Quality Assessment: Statistical Methods for Practitioners, EPA QA/G-9S", standing: QUOTED },
    Source { key: "fofonoff_millard_1983", citation: "Fofonoff, N. P., Millard, R. C. (1983) Algorithms for computation of fundamental properties of seawater, UNESCO Technical Papers in Marine Science 44", standing: QUOTED },
    Source { key: "garcia_gordon_1992", citation: "García, H. E., Gordon, L. I. (1992) Oxygen solubility in seawater: better fitting equations, Limnology and Oceanography 37, 1307–1312", standing: LIBRARY },
    Source { key: "gilbert_1987", citation: "Gilbert, R. O. (1987) Statistical Methods for Environmental Pollution Monitoring, chapter 16", standing: MEMORY },
    Source { key: "helsel_2012", citation: "Helsel, D. R. (2012) Statistics for Censored Environmental Data, 2nd edition; first published 2005 as Nondetects and Data Analysis", standing: MEMORY },
    Source { key: "helsel_hirsch_2002", citation: "Helsel, D. R., Hirsch, R. M. (2002) Statistical Methods in Water Resources, US Geological Survey Techniques of Water-Resources Investigations 4-A3", standing: MEMORY },
    Source { key: "hirsch_slack_smith_1982", citation: "Hirsch, R. M., Slack, J. R., Smith, R. A. (1982) Techniques of trend analysis for monthly water quality data, Water Resources Research 18, 107–121", standing: MEMORY },
    Source { key: "hyland_wexler_1983", citation: "Hyland, R. W., Wexler, A. (1983) Formulations for the thermodynamic properties of the saturated phases of H₂O from 173.15 K to 473.15 K, ASHRAE Transactions 89(2A), 500–519", standing: LIBRARY },
    Source { key: "iapws_95", citation: "IAPWS (1995, revised 2018) Formulation for the thermodynamic properties of ordinary water substance for general and scientific use, R6-95", standing: LIBRARY },
    Source { key: "iec_60364", citation: "IEC 60364-4-43 Low-voltage electrical installations: protection against overcurrent, clause 433.1", standing: MEMORY },
    Source { key: "iso_6946", citation: "ISO 6946 Building components and building elements: thermal resistance and thermal transmittance", standing: MEMORY },
    Source { key: "jcgm_100_2008", citation: "JCGM 100:2008 Evaluation of Measurement Data: Guide to the Expression of Uncertainty in Measurement", standing: MEMORY },
    Source { key: "karassik_2008", citation: "Karassik, I. J., Messina, J. P., Cooper, P., Heald, C. C. (2008) Pump Handbook, 4th edition, McGraw-Hill, on affinity laws", standing: MEMORY },
    Source { key: "kendall_1949", citation: "Kendall, D. G. (1949) Stochastic processes and population growth, Journal of the Royal Statistical Society B 11, 230–282", standing: MEMORY },
    Source { key: "kendall_1970", citation: "Kendall, M. G. (1970) Rank Correlation Methods, 4th edition, Griffin", standing: LIBRARY },
    Source { key: "lueker_2000", citation: "Lueker, T. J., Dickson, A. G., Keeling, C. D. (2000) Ocean pCO₂ calculated from dissolved inorganic carbon, alkalinity, and equations for K₁ and K₂, Marine Chemistry 70, 105–119", standing: LIBRARY },
    Source { key: "mann_1945", citation: "Mann, H. B. (1945) Nonparametric tests against trend, Econometrica 13, 245–259", standing: LIBRARY },
    Source { key: "millero_1995", citation: "Millero, F. J. (1995) Thermodynamics of the carbon dioxide system in the oceans, Geochimica et Cosmochimica Acta 59, 661–677", standing: LIBRARY },
    Source { key: "millero_2008", citation: "Millero, F. J., Feistel, R., Wright, D. G., McDougall, T. J. (2008) The composition of Standard Seawater and the definition of the Reference-Composition Salinity Scale, Deep-Sea Research I 55, 50–72", standing: LIBRARY },
    Source { key: "millero_perron_desnoyers_1973", citation: "Millero, F. J., Perron, G., Desnoyers, J. E. (1973) Heat capacity of seawater solutions from 5° to 35 °C and 0.5 to 22 ‰ chlorinity, Journal of Geophysical Research 78, 4499–4507", standing: LIBRARY },
    Source { key: "millero_poisson_1981", citation: "Millero, F. J., Poisson, A. (1981) International one-atmosphere equation of state of seawater, Deep-Sea Research 28A, 625–629", standing: LIBRARY },
    Source { key: "morris_riley_1966", citation: "Morris, A. W., Riley, J. P. (1966) The bromide/chlorinity and sulphate/chlorinity ratio in sea water, Deep-Sea Research 13, 699–705", standing: LIBRARY },
    Source { key: "mucci_1983", citation: "Mucci, A. (1983) The solubility of calcite and aragonite in seawater at various salinities, temperatures, and one atmosphere total pressure, American Journal of Science 283, 780–799", standing: LIBRARY },
    Source { key: "nfpa_70", citation: "NFPA 70 National Electrical Code, article 100 and section 210.20(A)", standing: QUOTED },
    Source { key: "ohno_2014", citation: "Ohno, Y. (2014) Practical use and calculation of CCT and Duv, Leukos 10, 47–55", standing: LIBRARY },
    Source { key: "perez_fraga_1987", citation: "Perez, F. F., Fraga, F. (1987) Association constant of fluoride and hydrogen ions in seawater, Marine Chemistry 21, 161–168", standing: LIBRARY },
    Source { key: "phipson_smyth_2010", citation: "Phipson, B., Smyth, G. K. (2010) Permutation P-values should never be zero: calculating exact P-values when permutations are randomly drawn, Statistical Applications in Genetics and Molecular Biology 9(1), article 39", standing: MEMORY },
    Source { key: "pope_fry_1997", citation: "Pope, R. M., Fry, E. S. (1997) Absorption spectrum (380–700 nm) of pure water. II. Integrating cavity measurements, Applied Optics 36, 8710–8723", standing: QUOTED },
    Source { key: "prohaska_2022", citation: "Prohaska, T. et al. (2022) Standard atomic weights of the elements 2021 (IUPAC Technical Report), Pure and Applied Chemistry 94, 573–600", standing: LIBRARY },
    Source { key: "quan_fry_1995", citation: "Quan, X., Fry, E. S. (1995) Empirical equation for the index of refraction of seawater, Applied Optics 34, 3477–3480", standing: QUOTED },
    Source { key: "redfield_1963", citation: "Redfield, A. C., Ketchum, B. H., Richards, F. A. (1963) The influence of organisms on the composition of sea-water, in The Sea, vol. 2, 26–77", standing: MEMORY },
    Source { key: "riley_1965", citation: "Riley, J. P. (1965) The occurrence of anomalously high fluoride concentrations in the North Atlantic, Deep-Sea Research 12, 219–220", standing: LIBRARY },
    Source { key: "riley_tongudai_1967", citation: "Riley, J. P., Tongudai, M. (1967) The major cation/chlorinity ratios in sea water, Chemical Geology 2, 263–269", standing: LIBRARY },
    Source { key: "saunders_1990", citation: "Saunders, P. M. (1990) The International Temperature Scale 1990, ITS-90, WOCE Newsletter 10, 10", standing: LIBRARY },
    Source { key: "sen_1968", citation: "Sen, P. K. (1968) Estimates of the regression coefficient based on Kendall's tau, Journal of the American Statistical Association 63, 1379–1389", standing: LIBRARY },
    Source { key: "sharqawy_2010", citation: "Sharqawy, M. H., Lienhard, J. H., Zubair, S. M. (2010) Thermophysical properties of seawater: a review of existing correlations and data, Desalination and Water Treatment 16, 354–380", standing: QUOTED },
    Source { key: "shepard_1968", citation: "Shepard, D. (1968) A two-dimensional interpolation function for irregularly-spaced data, Proceedings of the 23rd ACM National Conference, 517–524", standing: MEMORY },
    Source { key: "si_brochure_2019", citation: "BIPM (2019) The International System of Units, 9th edition: fixed values of h, c, k, N_A, e and K_cd", standing: MEMORY },
    Source { key: "smith_1969", citation: "Smith, R. C. (1969) An underwater spectral irradiance collector, Journal of Marine Research 27, 341–351", standing: MEMORY },
    Source { key: "standard_methods_4500_o", citation: "American Public Health Association, Standard Methods for the Examination of Water and Wastewater, 4500-O", standing: MEMORY },
    Source { key: "stone_1974", citation: "Stone, M. (1974) Cross-validatory choice and assessment of statistical predictions, Journal of the Royal Statistical Society B 36, 111–147", standing: MEMORY },
    Source { key: "swamee_jain_1976", citation: "Swamee, P. K., Jain, A. K. (1976) Explicit equations for pipe-flow problems, Journal of the Hydraulics Division 102, 657–664", standing: LIBRARY },
    Source { key: "takahashi_1982", citation: "Takahashi, T., Williams, R. T., Bos, D. L. (1982) Carbonate chemistry, in GEOSECS Pacific Expedition, vol. 3, 77–83", standing: LIBRARY },
    Source { key: "theil_1950", citation: "Theil, H. (1950) A rank-invariant method of linear and polynomial regression analysis, Indagationes Mathematicae 12, 85–91, 173–177", standing: LIBRARY },
    Source { key: "thimijan_heins_1983", citation: "Thimijan, R. W., Heins, R. D. (1983) Photometric, radiometric, and quantum light units of measure: a review of procedures for interconversion, HortScience 18, 818–822", standing: MEMORY },
    Source { key: "timoshenko_1959", citation: "Timoshenko, S., Woinowsky-Krieger, S. (1959) Theory of Plates and Shells, 2nd edition, McGraw-Hill", standing: LIBRARY },
    Source { key: "tobin_1958", citation: "Tobin, J. (1958) Estimation of relationships for limited dependent variables, Econometrica 26, 24–36", standing: MEMORY },
    Source { key: "unesco_1981", citation: "UNESCO (1981) Tenth report of the joint panel on oceanographic tables and standards, UNESCO Technical Papers in Marine Science 36", standing: QUOTED },
    Source { key: "uppstrom_1974", citation: "Uppström, L. R. (1974) The boron/chlorinity ratio of deep-sea water from the Pacific Ocean, Deep-Sea Research 21, 161–162", standing: LIBRARY },
    Source { key: "usbr_2001", citation: "US Bureau of Reclamation (2001) Water Measurement Manual, 3rd edition, chapter 7, weirs (Francis 1883)", standing: MEMORY },
    Source { key: "weiss_1974", citation: "Weiss, R. F. (1974) Carbon dioxide in water and seawater: the solubility of a non-ideal gas, Marine Chemistry 2, 203–215", standing: LIBRARY },
    Source { key: "young_budynas_2002", citation: "Young, W. C., Budynas, R. G. (2002) Roark's Formulas for Stress and Strain, 7th edition, McGraw-Hill, table 11.4", standing: QUOTED },
    Source { key: "yule_1925", citation: "Yule, G. U. (1925) A mathematical theory of evolution, based on the conclusions of Dr. J. C. Willis, Philosophical Transactions of the Royal Society of London B 213, 21–87", standing: MEMORY },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_sorted_and_stand_once() {
        assert_eq!(ALL[0].key, "common-practice");
        for pair in ALL[1..].windows(2) {
            assert!(pair[0].key < pair[1].key, "{} before {}", pair[0].key, pair[1].key);
        }
    }

    #[test]
    fn every_key_with_a_year_has_that_year_in_its_citation() {
        for source in ALL {
            let year = source.key.rsplit('_').next().unwrap().trim_end_matches(['a', 'b']);
            if year.len() == 4 && year.starts_with(['1', '2']) {
                assert!(source.citation.contains(year), "{}", source.key);
            }
            assert!(!source.standing.is_empty());
        }
    }
}
