/** Licence, sources, and whose recordings these are. */
import index from '../../../signals/recordings/index.json'
import { longestDailyS } from '../../core/maths/exposure.ts'
import { duration } from '../bench/figures.ts'
import { appVersion } from '../run/version.ts'
import type { Page } from './page.ts'

/** Whether the build found its source in a git checkout (vite.config.ts). */
declare const __HAS_SOURCE__: boolean

/** Titles by where the recordings came from: what an attribution says after the name of its file. */
const sources = new Map<string, string[]>()
for (const { attribution, title } of index.recordings) {
  const source = attribution.replace(/^\S+ of the package /, 'From the package ')
  sources.set(source, [...(sources.get(source) ?? []), title])
}

/** From the limit itself to what stands beside drums (common practice, no source). */
const stageLevelsDba = [85, 91, 97, 103]

function AboutPage() {
  return (
    <main className="content about">
      <header className="page-head">
        <h1>About</h1>
        <p className="quiet">Clatterbench {appVersion}</p>
      </header>
      <section>
        <h2>What it is</h2>
        <p>
          A bench that measures how pitch-detection methods hold up beside a loud stage. It computes everything in this
          page: strings, rooms, methods and scores. Nothing you do or pick leaves this browser.
        </p>
        <p>
          Rooms and strings made by the page are invented, not measured at any place. On recorded strings the pitch is
          not known better than a cent or two.
        </p>
      </section>
      <section>
        <h2>Before any sound</h2>
        <p>
          Start low, raise slowly. The usual daily limit for ears is 85 dBA for 8 hours; every 3 dB more halves the
          time. Local rules may be stricter.
        </p>
        <table className="about-exposure">
          <caption className="unseen">Longest daily exposure by level</caption>
          <tbody>
            <tr>
              <th scope="row">dBA</th>
              {stageLevelsDba.map((levelDba) => (
                <td key={levelDba}>{levelDba}</td>
              ))}
            </tr>
            <tr>
              <th scope="row">a day</th>
              {stageLevelsDba.map((levelDba) => (
                <td key={levelDba}>{duration(longestDailyS(levelDba))}</td>
              ))}
            </tr>
          </tbody>
        </table>
        <p>
          A string under tension can break while it is tuned: mind your eyes. Mains and earth are for qualified people,
          under the local code. Necks are adjusted by a qualified repairer.
        </p>
      </section>
      <section>
        <h2>Licence</h2>
        <p>
          GPL-3.0-or-later: you may use, study, share and change it; who passes it on passes on these rights and the
          source with it. It comes without any warranty.
        </p>
        <p className="about-links">
          <a className="button" href="./LICENSE.txt">
            Licence text
          </a>
          <a className="button" href="./THIRD-PARTY.txt">
            Packages used, with their licences
          </a>
          {__HAS_SOURCE__ && (
            <a className="button" href="./source.tar.gz" download>
              Source of this page
            </a>
          )}
        </p>
      </section>
      <section>
        <h2>Recordings</h2>
        <ul className="about-recordings">
          {[...sources].map(([attribution, titles]) => (
            <li key={attribution}>
              <strong>{titles.join('; ')}</strong> <span className="quiet">{attribution}</span>
            </li>
          ))}
        </ul>
      </section>
    </main>
  )
}

export const aboutPage: Page = { path: 'about', title: 'About', Page: AboutPage }
