package catalog
import ("testing";"time")
func TestZZBest(t *testing.T){
 for _,n:=range []string{"speeds","gear-geometry","gear-mesh","gear-backlash","gear-strength","gear-life","gear-strength-textbook"}{
  s,_:=Find(n); best:=time.Hour
  for range 4000 { st:=time.Now(); s.Run(s.Example); best=min(best,time.Since(st)) }
  t.Log(n,best)
 }
}
