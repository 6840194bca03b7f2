import { CATALOGUE_VERSION, type Catalogue } from '../facts/catalogue-schema.ts';
import type { CreditPlan, PlanGrid, ShopPlan } from '../plan/plan.ts';
import type { Language } from '../trade/words.ts';
import type { CatalogueComparison } from './comparison-files.ts';
import type { KeyedFile } from './keyed-files.ts';
import type { CatalogueModel } from './model-files.ts';
import type { CatalogueMovie } from './movie-files.ts';
import type { CatalogueSwatches } from './swatch-files.ts';

export interface CatalogueMeta {
  catalogue: string;
  title: string;
  workshop: string;
  /** of all words but the maker's own; English if left out */
  language?: Language;
  /** country of the clients */
  market?: string;
  axes: PlanGrid['axes'];
  /**
   * every SKU of the plan, in the plan's order. Planned items that are not handed over now but stand in the folder
   * stay; items that are no longer planned go.
   */
  planned: string[];
  models: CatalogueModel[];
  /** swatch cards and single swatches; those of earlier runs that are not among them go */
  swatches?: CatalogueSwatches[];
  /** traced pictures beside their models */
  comparisons?: CatalogueComparison[];
  /** films of turntables */
  movies?: CatalogueMovie[];
  /** alloys of the table of colours; no table if none */
  colours?: string[];
  credit?: CreditPlan;
  /** absent: no feed */
  shop?: ShopPlan;
  /** what lanes and rows are called for readers */
  names?: Record<string, string>;
  /** the page shows bench checks */
  pageChecks?: boolean;
  /** files for the caster, and models of one band alone */
  keyed?: KeyedFile[];
  /** what a caster must read first; beside their files where those are published */
  casterNote?: string;
}

/** What of a catalogue is said before its items. */
export function headOf(
  meta: CatalogueMeta,
): Omit<Catalogue, 'items' | 'models' | 'swatches' | 'comparisons' | 'movies' | 'cautions'> {
  return {
    version: CATALOGUE_VERSION,
    catalogue: meta.catalogue,
    title: meta.title,
    workshop: meta.workshop,
    ...(meta.language && meta.language !== 'en' ? { language: meta.language } : {}),
    ...(meta.market ? { market: meta.market } : {}),
    axes: meta.axes.map(({ name, values }) => ({
      name,
      values: values.map(({ label, slug }) => ({ label, slug })),
    })),
    ...(meta.names && Object.keys(meta.names).length > 0 ? { names: meta.names } : {}),
    ...shopOf(meta.shop),
  };
}

/** What of the shop readers need. */
function shopOf(shop: ShopPlan | undefined): Pick<Catalogue, 'shop'> {
  const told = {
    ...(shop?.baseUrl ? { baseUrl: shop.baseUrl } : {}),
    ...(shop?.page ? { page: shop.page } : {}),
    ...(shop?.enquire ? { enquire: shop.enquire } : {}),
  };
  return Object.keys(told).length > 0 ? { shop: told } : {};
}
