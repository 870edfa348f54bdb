"""An independent implementation of the mechanics, to compare the program with.

Written from the description of the mechanics alone, without sight of the program's code; slow and plain:
dense quadrature and energy minimisation for the seat, fine finite elements for ladder, torsion and
rocking, dense sampling for the glue. SI inside. It does not know load cases.

To make the expected values of the jobs in this folder anew (needs numpy and scipy from the registry):

    python3 reference.py
"""
import math, re, copy, tomllib
import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve, splu

pi = math.pi
UN = {'mm':1e-3,'in':0.0254,'m':1.0,'um':1e-6,'µm':1e-6,'N·m':1.0,'Nm':1.0,'N':1.0,'kN':1e3,'MPa':1e6,'GPa':1e9,'°C':1.0,
      'µm/(m·K)':1e-6,'%':0.01,'deg':pi/180,'V':1.0,'':1.0,'tpi':None,'mm²':1e-6}
def num(s):
    s=s.strip()
    m=re.match(r'^([+\-−]?\d*\.?\d+(?:e-?\d+)?)\s*(.*)$',s)
    v=float(m.group(1).replace('−','-')); return v,m.group(2).strip()
def q3(s):
    """-> (nominal, low, high, has_spread)"""
    if isinstance(s,(int,float)): return float(s),float(s),float(s),False
    if '..' in s:
        a,b=s.split('..'); va,ua=num(a); vb,ub=num(b); u=UN[ub]
        va*=u; vb*=u
        return (va+vb)/2,va,vb,True
    if '±' in s:
        a,b=s.split('±'); va,ua=num(a); vb,ub=num(b)
        if ub=='%' and ua!='%': va*=UN[ua]; d=abs(va)*vb/100
        else:
            u=UN[ub]; va*=u; d=vb*u
        return va,va-d,va+d,True
    v,u=num(s)
    if u=='tpi': return 0.0254/v,0.0254/v,0.0254/v,False
    return v*UN[u],v*UN[u],v*UN[u],False
def q(s): return q3(s)[0]

R40=[10,10.5,11,12,13,14,15,16,17,18,19,20,21,22,24,25,26,28,30,32,34,36,38,40,42,45,48,50,53,56,60,63,67,71,75,80,85,90,95,100,106,112,118,125,132,140,150,160,170,180,190,200,212,224,236,250,265,280,300,315,335,355,375,400,425,450,475,500,530,560,600,630,670,710,750,800,850,900,950]
def r40(v):
    best=min(range(len(R40)),key=lambda i:(abs(R40[i]-v),-R40[i])); return best
GR={3:-12,4:-8,5:-4,6:0,7:4,8:8,9:12}
COARSE={'6':1.0,'8':1.25,'10':1.5,'12':1.75,'5':0.8,'16':2.0}

class NJ(Exception): pass

def annA(a,b): return pi/4*(b*b-a*a)
def annJ(a,b): return pi/32*(b**4-a**4)

def thread_geo(job):
    t=job['thread']; des=t['designation']
    g={}
    row=job.get('threads',{}).get(des)
    um=1e-6
    if row:
        d=q(row['major']); P=q(row['pitch']); form=row['form']; sa=row.get('stress_area','metric')
        lim=dict(emaj=q(row['external_major_min']),epd=q(row['external_pitch_min']),imin=q(row['internal_minor_max']),ipd=q(row['internal_pitch_max']))
    elif des.startswith('M'):
        m=re.match(r'^M(\d+(?:\.\d+)?)(?:[x×](\d+(?:\.\d+)?))?(?:-(\d)([A-Z])/(\d)([a-z]))?$',des)
        d=float(m.group(1))*1e-3; P=float(m.group(2) or COARSE[m.group(1)])*1e-3
        ig,il,eg,el=(int(m.group(3)),m.group(4),int(m.group(5)),m.group(6)) if m.group(3) else (6,'H',6,'g')
        form='iso'; sa='metric'; Pm=P*1e3; dm=d*1e3
        steps=[0.99,1.4,2.8,5.6,11.2,22.4,45,90,180,355]
        for a,b in zip(steps,steps[1:]):
            if a<dm<=b: gm=math.sqrt(a*b)
        es={'g':15+11*Pm,'h':0,'e':50+11*Pm,'f':30+11*Pm}[el]; es=-R40[r40(es)] if es else 0
        EI={'G':15+11*Pm,'H':0}[il]; EI=R40[r40(EI)] if EI else 0
        Td=R40[r40(180*Pm**(2/3)-3.15/math.sqrt(Pm))+GR[eg]] if True else 0
        TD1=R40[r40(433*Pm-190*Pm**1.22 if Pm<=0.8 else 230*Pm**0.7)+GR[ig]]
        i2=r40(90*Pm**0.4*gm**0.1)
        Td2=R40[i2+GR[eg]]; TD2=R40[i2+5+GR[ig]]
        H=P*math.sqrt(3)/2
        lim=dict(emaj=d+(es-Td)*um,epd=d-.75*H+(es-Td2)*um,imin=d-1.25*H+(EI+TD1)*um,ipd=d-.75*H+(EI+TD2)*um)
    else:  # 1/4-20 UNC: limits all measured in the job
        m=re.match(r'^(\d+)/(\d+)-(\d+)',des); d=int(m.group(1))/int(m.group(2))*0.0254; P=0.0254/int(m.group(3)); form='iso'; sa='unified'
        lim=dict(emaj=None,epd=None,imin=None,ipd=None)
    alpha=pi/6
    if form=='iso':
        H=P*math.sqrt(3)/2; d2=d-.75*H; D1=d-1.25*H; d3=d-17/12*H
    elif form=='whitworth':
        H=0.960491*P; alpha=math.radians(27.5); d2=d-0.640327*P; D1=d3=d-1.280654*P
    else:
        H=P*math.sqrt(3)/2; h=H-P/3; d2=d-h; D1=d3=d-2*h
    As=pi/4*(d-9/8*H)**2 if sa=='unified' else pi/4*((d2+d3)/2)**2
    for k,n in (('internal_minor','imin'),('internal_pitch_diameter','ipd'),('external_major','emaj'),('external_pitch_diameter','epd')):
        if k in t: lim[n]=q(t[k])
    lam=math.atan(P/(pi*d2))
    engaged=q(t['engaged']); inc=q(t['incomplete']) if 'incomplete' in t else P
    Le=max(0,engaged-inc-float(t.get('damaged_turns',0))*P)
    g.update(d=d,P=P,alpha=alpha,d2=d2,D1=D1,d3=d3,As=As,lam=lam,Le=Le,N=Le/P,n=q(t['setback']) if 'setback' in t else 0.0,lim=lim,H=H)
    return g

class Mat:
    def __init__(s,r):
        s.r=r; s.kind=r['kind']; s.E=q(r['elastic_modulus']); s.nu=float(r['poisson'])
        s.G=q(r['shear_modulus']) if 'shear_modulus' in r else s.E/(2*(1+s.nu))
        g=lambda k:q(r[k]) if k in r else None
        s.sy=g('yield'); s.su=g('tensile'); s.tau=g('shear'); 
        if s.tau is None and s.su is not None: s.tau=.6*s.su
        s.face=g('face_strength'); 
        if s.face is None and s.kind=='metal': s.face=s.sy
        s.ilt=g('interlaminar_tension'); s.ils=g('interlaminar_shear')
        s.a=g('expansion'); s.idx=g('anodic_index')

def tooth(a_ext,E,nu,alpha,P,c,radial):
    b=P/2; a=b+2*c*math.tan(alpha); ct=1/math.tan(alpha); ln=math.log
    s=(1-nu**2)*.75*((1-(2-b/a)**2+2*ln(a/b))*ct**3-4*(c/a)**2*math.tan(alpha))
    s+=(1+nu)*1.2*ct*ln(a/b)
    s+=(1-nu**2)*(12*c/(pi*a*a))*(c-b/2*math.tan(alpha))
    s+=(1-nu**2)*(2/pi)*(P/a*ln((P+a/2)/(P-a/2))+.5*ln(4*P*P/(a*a)-1))
    s+=radial
    return s/E

# ------------------------------------------------------------ 1-D FE (quadratic)
GP=np.array([-math.sqrt(.6),0,math.sqrt(.6)]); GW=np.array([5,8,5])/9
def shp(x): return np.array([x*(x-1)/2,1-x*x,x*(x+1)/2])
def dshp(x): return np.array([x-.5,-2*x,x+.5])
def mesh(bps,hmax):
    bps=sorted(set(round(b,12) for b in bps)); xs=[bps[0]]
    for a,b in zip(bps,bps[1:]):
        if b-a<1e-9: continue
        ne=max(8,int(math.ceil((b-a)/hmax)))
        xs+=list(np.linspace(a,b,2*ne+1)[1:])
    return np.array(xs)
class Asm:
    def __init__(s,n): s.i=[];s.j=[];s.v=[];s.n=n
    def add(s,I,J,M):
        I=np.asarray(I);J=np.asarray(J)
        s.i.append(np.repeat(I,len(J)));s.j.append(np.tile(J,len(I)));s.v.append(np.asarray(M).ravel())
    def mat(s): return coo_matrix((np.concatenate(s.v),(np.concatenate(s.i),np.concatenate(s.j))),shape=(s.n,s.n)).tocsc()
KE=sum(w*np.outer(dshp(x),dshp(x)) for x,w in zip(GP,GW))  # times EA*2/h
ME=sum(w*np.outer(shp(x),shp(x)) for x,w in zip(GP,GW))    # times k*h/2
FE_=sum(w*shp(x) for x,w in zip(GP,GW))
def solve_bc(K,fixed,rhs):
    n=K.shape[0]; free=np.setdiff1d(np.arange(n),fixed)
    Kf=K[free][:,free]; lu=splu(Kf.tocsc()); out=np.zeros((n,rhs.shape[1]))
    out[free]=np.column_stack([lu.solve(rhs[free,k]) for k in range(rhs.shape[1])])
    return out

def ladder(g,o,hmax):
    """returns x nodes, unit solutions (F on fitting outward; Pi on insert inward; Pf on frame inward) as dict"""
    n,Le,L=g['n'],g['Le'],o['L']; Lin=max(o['Lins'],n+Le,L)
    x=mesh([0,n,n+Le,L,Lin],hmax); N=len(x)
    c1=-1 if 0 else 1
    A=Asm(3*N); uf,ui,ur=0,N,2*N
    kfl=(pi*g['d2']/g['P'])/o['cflank']; kgl=2*pi*o['rb']*o['Ga']/o['eta']*(1-o['voids'])
    EAi=o['ins'].E*annA(g['d'],o['Do']); EAr=o['fr'].E*annA(o['Do']+2*o['eta'],o['Dfr'])
    for e in range(0,N-1,2):
        h=x[e+2]-x[e]; xm=x[e+1]; I=np.array([e,e+1,e+2])
        A.add(ui+I,ui+I,KE*EAi*2/h)
        if xm<n+Le:
            EAf=o['fit'].E*annA(o['di'],o['dneck'] if xm<n else g['d3']); A.add(uf+I,uf+I,KE*EAf*2/h)
        if n<xm<n+Le:
            m=ME*kfl*h/2; A.add(uf+I,uf+I,m);A.add(ui+I,ui+I,m);A.add(uf+I,ui+I,-m);A.add(ui+I,uf+I,-m)
        if xm<L:
            A.add(ur+I,ur+I,KE*EAr*2/h)
            m=ME*kgl*h/2; A.add(ur+I,ur+I,m);A.add(ui+I,ui+I,m);A.add(ur+I,ui+I,-m);A.add(ui+I,ur+I,-m)
    fixed=[uf+k for k in range(N) if x[k]>n+Le+1e-9]+[ur+k for k in range(N) if x[k]>L+1e-9]
    iL=int(np.argmin(abs(x-L)))
    if o['held']=='full-length': fixed+=[ur+k for k in range(N)]
    elif o['held']=='inboard': fixed.append(ur+iL)
    else: fixed.append(ur+0)
    fixed=sorted(set(fixed))
    R=np.zeros((3*N,3)); R[uf,0]=-1; R[ui,1]=1; R[ur,2]=1    # +x inward
    U=solve_bc(A.mat(),np.array(fixed),R)
    nb=iL+1
    tau=o['Ga']/o['eta']*(U[ui:ui+nb]-U[ur:ur+nb])   # nb x 3
    th=[k for k in range(N) if n-1e-9<=x[k]<=n+Le+1e-9]
    fl=kfl*(U[[uf+k for k in th]]-U[[ui+k for k in th]])
    return dict(x=x,xb=x[:nb],tau=tau,U0=U[[uf,ui,ur]],xt=x[th],fl=fl,nb=nb,th=th,kfl=kfl)

def simpson_nodes(x,f):
    return sum((x[e+2]-x[e])/6*(f[e]+4*f[e+1]+f[e+2]) for e in range(0,len(x)-1,2))

def torsion(g,o,lad,share_fl):
    """unit solutions: col0 thread torque 1 spread as share_fl (density over xt), col1 torque 1 on insert at 0, col2 torque 1 on frame at 0"""
    x=lad['x'];N=len(x);L=o['L'];A=Asm(2*N);ui,ur=0,N
    GJi=o['ins'].G*annJ(g['d'],o['Do']);GJr=o['fr'].G*annJ(o['Do']+2*o['eta'],o['Dfr'])
    kt=2*pi*o['rb']**3*o['Ga']/o['eta']*(1-o['voids'])
    R=np.zeros((2*N,3)); R[ui,1]=1;R[ur,2]=1
    dens=np.zeros(N); dens[lad['th']]=share_fl
    for e in range(0,N-1,2):
        h=x[e+2]-x[e];xm=x[e+1];I=np.array([e,e+1,e+2])
        A.add(ui+I,ui+I,KE*GJi*2/h)
        if g['n']<xm<g['n']+g['Le']: R[ui+I,0]+=ME@dens[I]*h/2
        if xm<L:
            A.add(ur+I,ur+I,KE*GJr*2/h); m=ME*kt*h/2
            A.add(ur+I,ur+I,m);A.add(ui+I,ui+I,m);A.add(ur+I,ui+I,-m);A.add(ui+I,ur+I,-m)
    iL=lad['nb']-1
    fixed=[ur+k for k in range(iL+1,N)]
    if o['held']=='full-length': fixed+=[ur+k for k in range(N)]
    elif o['held']=='inboard': fixed.append(ur+iL)
    else: fixed.append(ur)
    U=solve_bc(A.mat(),np.array(sorted(set(fixed))),R)
    return o['Ga']/o['eta']*o['rb']*(U[ui:ui+iL+1]-U[ur:ur+iL+1])

def rocking(g,o,xb):
    """unit solutions for V (col0) and M (col1): w, psi at bond nodes"""
    x=xb;N=len(x);L=o['L'];n,Le=g['n'],g['Le']; m=o['ins']
    EI=m.E*annJ(g['d'],o['Do'])/2; kap=2*(1+m.nu)/(4+3*m.nu); GA=kap*m.G*annA(g['d'],o['Do'])
    Kl=(1-o['voids'])*pi*o['rb']*(o['kn']+o['ks']); Kr=(1-o['voids'])*pi*o['rb']**3*o['ks']
    A=Asm(2*N);R=np.zeros((2*N,2)); xc=n+Le/2
    g2=np.array([-1,1])/math.sqrt(3)
    for e in range(0,N-1,2):
        h=x[e+2]-x[e];xm=x[e+1];I=np.array([e,e+1,e+2])
        A.add(I,I,ME*Kl*h/2);A.add(N+I,N+I,ME*Kr*h/2+KE*EI*2/h)
        for s in g2:
            B=np.concatenate([dshp(s)*2/h,-shp(s)]); D=np.concatenate([I,N+I]); A.add(D,D,GA*np.outer(B,B)*h/2)
        if n<xm<n+Le:
            R[I,0]+=FE_*h/2/Le; R[N+I,0]+=-xc/Le*FE_*h/2; R[N+I,1]+=-1/Le*FE_*h/2
    if n+Le>L+1e-12:
        a=max(n,L); fr=(n+Le-a)/Le; arm=(a+n+Le)/2-L
        R[N-1,0]+=fr; R[2*N-1,0]+=fr*arm-xc*fr; R[2*N-1,1]+=-fr
    U=solve_bc(A.mat(),np.array([],int),R)
    return U[:N],U[N:]

# ------------------------------------------------------------ contact
class Seat:
    """two-part ring; dense polar midpoint/Gauss quadrature"""
    def __init__(s,parts,gapfun,kt,r2,nphi=720,nr=48):
        # parts: list of (ri,ro,k)
        s.kt,s.r2=kt,r2; s.K=kt*r2*r2/2
        s.parts=parts; s.ro=max(p[1] for p in parts); s.gapped=gapfun is not None
        if not s.gapped: nphi,nr=720,48
        gx,gw=np.polynomial.legendre.leggauss(nr)
        ph=(np.arange(nphi)+.5)*2*pi/nphi
        RH=[];W=[];PH=[];KK=[];PT=[]
        for ip,(ri,ro,k) in enumerate(parts):
            r=(ri+ro)/2+(ro-ri)/2*gx; w=gw*(ro-ri)/2*r
            rr,pp=np.meshgrid(r,ph,indexing='ij'); ww=np.outer(w,np.full(nphi,2*pi/nphi))
            RH.append(rr.ravel());PH.append(pp.ravel());W.append(ww.ravel());KK.append(np.full(rr.size,k));PT.append(np.full(rr.size,ip))
        s.rho=np.concatenate(RH);s.phi=np.concatenate(PH);s.w=np.concatenate(W);s.k=np.concatenate(KK);s.pt=np.concatenate(PT)
        s.B=np.stack([np.ones_like(s.rho),s.rho*np.cos(s.phi),s.rho*np.sin(s.phi)])
        s.g=gapfun(s.phi) if s.gapped else np.zeros_like(s.phi)
        s.gapfun=gapfun
        s.A=sum(pi*(ro*ro-ri*ri) for ri,ro,k in parts); s.ks=sum(k*pi*(ro*ro-ri*ri) for ri,ro,k in parts)
        s.kI=sum(k*pi*(ro**4-ri**4)/4 for ri,ro,k in parts)
        # peak points: edges x fine phi (kinks included)
        pf=np.linspace(0,2*pi,3600,endpoint=False)
        s.edge=[]
        for ip,(ri,ro,k) in enumerate(parts):
            for r in (ri,ro): s.edge.append((ip,k,r,pf))
        s.gf=gapfun(pf) if s.gapped else np.zeros_like(pf); s.pf=pf
    def _solve(s,rhs,kz,u):
        # minimise 1/2 int k (Bu-g)+^2 + 1/2 kz z^2(+rhs) + 1/2 K t^2 - rhs.u
        S=np.diag([kz,s.K,s.K]); kw=s.k*s.w
        def en(u):
            d=np.maximum(0,u@s.B-s.g); return .5*np.dot(kw,d*d)+.5*u@S@u-rhs@u
        E=en(u); sc=np.array([s.A and 1,s.ro,s.ro])
        for it in range(200):
            d=u@s.B-s.g; on=d>0; dd=np.where(on,d,0)
            r=s.B@(kw*dd)+S@u-rhs
            Bo=s.B*(kw*on); H=Bo@s.B.T+S
            ref=max(abs(rhs[0]),1e-9)
            if abs(r[0])<1e-9*ref and max(abs(r[1]),abs(r[2]))<1e-9*ref*s.ro: return u
            H+=np.diag([1e-14*s.ks+1e-9,1e-14*s.kI,1e-14*s.kI])
            st=-np.linalg.solve(H,r); a=1.0
            while a>1e-10:
                En=en(u+a*st)
                if En<=E+1e-4*a*(r@st)+1e-15*abs(E): break
                a/=2
            u=u+a*st;E=En
        return u
    def preload(s,F0):
        u0=np.array([F0/s.ks+s.g.max(),0,0])
        return s._solve(np.array([F0,0,0.]),0.0,u0)
    def loaded(s,F0,u0,N,M,th,start=None):
        z0=u0[0]
        rhs=np.array([F0-N+s.kt*z0,M*math.cos(th),M*math.sin(th)])
        u=s._solve(rhs,s.kt,(start if start is not None else u0).copy())
        return u
    def res(s,u):
        d=np.maximum(0,u@s.B-s.g); p=s.k*d
        frac=s.frac(u)
        Pp=[np.dot(s.w[s.pt==i],p[s.pt==i]) for i in range(len(s.parts))]
        Mp=[np.array([np.dot(s.w[m],p[m]*s.B[1][m]),np.dot(s.w[m],p[m]*s.B[2][m])]) for m in [s.pt==i for i in range(len(s.parts))]]
        pk=[0]*len(s.parts)
        for ip,k,r,pf in s.edge:
            v=k*np.maximum(0,u[0]+r*(u[1]*np.cos(pf)+u[2]*np.sin(pf))-s.gf); pk[ip]=max(pk[ip],v.max())
        return dict(P=Pp,M=Mp,frac=frac,peak=pk)
    def minp(s,u):
        return min((u[0]+r*(u[1]*np.cos(pf)+u[2]*np.sin(pf))-s.gf).min() for ip,k,r,pf in s.edge)
    def frac(s,u):
        # exact radial interval at each of 14400 angles
        if not hasattr(s,'fp'):
            s.fp=(np.arange(14400)+.5)*2*pi/14400; s.fg=s.gapfun(s.fp) if s.gapped else np.zeros(14400)
        c=u[1]*np.cos(s.fp)+u[2]*np.sin(s.fp); b=s.fg-u[0]; a=0.0
        for ri,ro,k in s.parts:
            # rho*c > b
            with np.errstate(divide='ignore',invalid='ignore'): r0=np.clip(b/c,ri,ro)
            ar=np.where(c>0,ro**2-r0**2,np.where(c<0,r0**2-ri**2,np.where(b<0,ro**2-ri**2,0)))/2
            a+=ar.sum()*2*pi/14400
        return a/s.A
    def dirs(s): return [math.radians(5*i) for i in range(72)] if s.gapped else [0.0]
    def opening(s,F0,N):
        if not s.gapped:
            F=F0-N*s.ks/(s.ks+s.kt)
            return max(0,F/(s.ks*s.ro)*(s.kI+s.K)),None
        u0=s.preload(F0); a0=s.frac(u0)
        closed=s.minp(u0)>0
        best=None
        for th in s.dirs():
            if closed:
                # linear until first zero
                zb=u0.copy(); 
                H=s.B*(s.k*s.w)@s.B.T+np.diag([s.kt,s.K,s.K])
                u1=np.linalg.solve(H,np.array([0,math.cos(th),math.sin(th)]))
                un=u0+np.linalg.solve(H,np.array([-N,0,0]))
                m=1e99
                for ip,k,r,pf in s.edge:
                    b=un[0]+r*(un[1]*np.cos(pf)+un[2]*np.sin(pf))-s.gf; dd=u1[0]+r*(u1[1]*np.cos(pf)+u1[2]*np.sin(pf))
                    if b.min()<=0: m=0
                    else:
                        neg=dd<0
                        if neg.any(): m=min(m,(b[neg]/-dd[neg]).min())
            else:
                st=[u0]
                def f(M):
                    u=s.loaded(F0,u0,N,M,th,st[0]); st[0]=u; return s.frac(u)-.9*a0
                # scan upward from 0 to find first crossing
                sc=F0*s.ro/4
                lo=0.0
                if f(0.0)<=0: m=0.0
                else:
                    hi=sc*.25
                    while f(hi)>0 and hi<sc*200: lo=hi; hi*=1.25
                    if hi>=sc*200: m=float('inf')
                    else:
                        for _ in range(22):
                            mid=(lo+hi)/2
                            if f(mid)>0: lo=mid
                            else: hi=mid
                        m=(lo+hi)/2
            if best is None or m<best: best=m
        return best,closed

# ------------------------------------------------------------ section 5
def pedal(job,nd):
    p=job['pedalling']; W=q(job['frame']['width']); e=q(job['fitting'].get('bearing_outboard','0 mm')); ef=q(p['far_bearing_outboard']) if 'far_bearing_outboard' in p else e
    eD,eN=(ef,e) if nd else (e,ef)
    yD=W/2+eD;yN=-(W/2+eN); inc=q(p['inclination']) if 'inclination' in p else math.radians(7.5); ca=q(p['crank_angle']) if 'crank_angle' in p else math.radians(45)
    F=q(p['force']);off=q(p['pedal_offset']);cr=q(p['crank']);Rc=q(p['chainring_radius']);yc=q(p['chainline'])
    Fc=F*math.cos(inc)*cr*math.cos(ca)/Rc; A=F*math.sin(inc); vp=cr*math.sin(ca);hp=-cr*math.cos(ca)
    out=[]
    for a in (1,-1):
        yp=a*off; Pq=(F*math.cos(inc),0);Cq=(0,Fc);arm=(vp,hp);RD=[];RN=[]
        for i in (0,1):
            K=-a*A*arm[i]/(yD-yN); r=(Pq[i]*(yp-yN)+Cq[i]*(yc-yN))/(yD-yN)+K; RD.append(r);RN.append(Pq[i]+Cq[i]-r)
        R=math.hypot(*(RN if nd else RD)); own=(a==-1) if nd else (a==1)
        out.append(dict(V=R,M=R*e,N=A if own else 0.0,own=own))
    out.sort(key=lambda o:-o['V'])
    return out,Fc

LIM={'dry':.5,'controlled':.5,'indoor':.25,'outdoor':.15,'salt':.15}
NEED=dict(strip=2,hoop=1.5,neck=1.5,flange=1.5,bond=3,bond_endurance=1.5,crush=2,seat_open=1.2,slip=1.2,removal=1.5,contact=.8)

def merge(a,b):
    a=copy.deepcopy(a)
    for k,v in b.items():
        if isinstance(v,dict) and isinstance(a.get(k),dict): a[k]=merge(a[k],v)
        else: a[k]=v
    return a

def evaluate(job,mode=None,kcf=1.0,hmax=2.5e-5,opt={}):
    """values (report units), checks {id:(demand,cap,ratio)} for one base case"""
    V={};C={};info={}
    g=thread_geo(job); d,P,d2,D1,d3,al,lam,Le,n=[g[k] for k in ('d','P','d2','D1','d3','alpha','lam','Le','n')]
    mats={k:Mat(job['material'][job[k]['material']]) for k in ('insert','frame','fitting')}
    ins,fr,fit=mats['insert'],mats['frame'],mats['fitting']
    Do=q(job['insert']['outer_diameter']);Lins=q(job['insert']['length']);Dfr=q(job['frame']['outer_diameter'])
    bd=job['bond']; eta=q(bd['thickness']) if 'thickness' in bd else (q(bd['bore'])-Do)/2
    L=q(bd['length']) if 'length' in bd else Lins; voids=q(bd.get('voids',0)); 
    ad=job['adhesive'][bd['adhesive']]; Ga=q(ad['shear_modulus']);nua=float(ad['poisson']);taup=q(ad['shear_strength']);siga=q(ad['tensile_strength']);gp=float(ad['plastic_shear_strain'])
    rb=(Do+eta)/2; ft=job['fitting']; di=q(ft.get('bore','0 mm')); dneck=q(ft['neck_diameter']) if 'neck_diameter' in ft else d3
    Dfl=q(ft['flange_diameter']);tf=q(ft['flange_thickness'])
    Ea=2*Ga*(1+nua);Ec=Ea*(1-nua)/((1+nua)*(1-2*nua))
    need={k:float(job.get('need',{}).get(k,v)) for k,v in NEED.items()}; info['need']=need
    V.update({'thread.pitch':P*1e3,'thread.lead_angle':math.degrees(lam),'thread.major':d*1e3,'thread.pitch_diameter':d2*1e3,'thread.internal_minor':D1*1e3,'thread.root':d3*1e3,'thread.stress_area':g['As']*1e6,'thread.engaged_effective':Le*1e3,'thread.turns':g['N']})
    # seat ring
    st=job.get('seat',{})
    fo=q3(job['insert']['face_offset']) if 'face_offset' in job['insert'] else None
    if mode is None: mode='both' if fo is None or fo[0]==0 else ('insert' if fo[0]>0 else 'frame')
    info['unproven']=fo is None or abs(fo[0])<0.05e-3 or fo[1]<=0<=fo[2]
    info['mode']=mode
    ri=q(st['inner_diameter'])/2 if 'inner_diameter' in st else d/2
    ro=min(Dfl/2,q(st['outer_diameter'])/2 if 'outer_diameter' in st else Dfr/2)
    lip=job['insert'].get('lip_diameter'); rface=q(lip)/2 if lip else Do/2; rbore=q(lip)/2 if lip else Do/2+eta
    pi_=(ri,min(ro,rface));pf_=(max(ri,rbore),ro)
    parts=[]
    if mode in('insert','both') and pi_[1]>pi_[0]: parts.append(('i',)+pi_)
    if mode in('frame','both') and pf_[1]>pf_[0]: parts.append(('f',)+pf_)
    if not parts: raise NJ('no seat ring')
    ri=min(p[1] for p in parts);ro=max(p[2] for p in parts);w=ro-ri
    kc={'i':ins.E/((1-ins.nu**2)*w)*kcf,'f':fr.E/((1-fr.nu**2)*w)*kcf}
    Ai={p[0]:pi*(p[2]**2-p[1]**2) for p in parts}
    ksum=sum(kc[k]*a for k,a in Ai.items()); s=kc['i']*Ai.get('i',0)/ksum
    rs_=lambda a,b:2/3*(b**3-a**3)/(b*b-a*a)
    rsd={p[0]:rs_(p[1],p[2]) for p in parts}; rs=s*rsd.get('i',0)+(1-s)*rsd.get('f',0)
    V.update({'seat.share.insert':s,'seat.radius_effective':rs*1e3,'seat.area':sum(Ai.values())*1e6,'seat.unsupported':max(0,(Dfl/2-ro)*1e3)})
    # thread areas
    lm=g['lim']; ta=math.tan(al)
    t_ext=P/2+(lm['epd']-lm['imin'])*ta; t_int=P/2+(lm['emaj']-lm['ipd'])*ta
    Aext=pi*lm['imin']*g['N']*t_ext;Aint=pi*lm['emaj']*g['N']*t_int
    V['thread.shear_area.external']=Aext*1e6;V['thread.shear_area.internal']=Aint*1e6
    F0e=fit.tau*Aext;F0i=ins.tau*Aint
    k=Do/d;info['k']=k
    if Le>0:
        Rs=F0i/F0e
        C2=.897 if Rs<=1 else (lambda r:5.594-13.682*r+14.107*r**2-6.057*r**3+.9353*r**4)(min(Rs,2.2))
        C3=.897 if Rs>=1 else (lambda r:.728+1.769*r-2.896*r**2+1.296*r**3)(max(Rs,.4))
        C2=min(1,C2);C3=min(1,C3); info['Rs']=Rs
        if k>=1.4:
            C1=1 if k>=1.9 else -k*k+3.8*k-2.61; Fe=F0e*C1*C2;Fi=F0i*C1*C3; dil=C1
        else:
            m=di/d2; Cs=(d/2/ins.E)*((k*k+1)/(k*k-1)+ins.nu);Cf=(d2/2/fit.E)*((1+m*m)/(1-m*m)-fit.nu)
            def st_(F0,Cc,t):
                ka=2*ta**2*(Cs+Cf)/(pi*d2*Le*t); return F0*Cc*min(.75,1/(1+ka*F0*Cc))
            Fe=st_(F0e,C2,t_ext);Fi=st_(F0i,C3,t_int); dil=min(Fe/(F0e*C2),Fi/(F0i*C3))
        V.update({'strip.external.capacity':Fe,'strip.internal.capacity':Fi,'strip.dilation_factor':dil,'strip.bending_factor.external':C2,'strip.bending_factor.internal':C3})
    else: Fe=Fi=0.0; V.update({'strip.external.capacity':0,'strip.internal.capacity':0})
    Fh=ins.sy*pi*d2*Le*(k*k-1)/((k*k+1)*ta) if ins.sy else None
    if Fh is not None: V['hoop.capacity']=Fh
    # torque
    tg=job['tightening']
    if 'lubrication' in tg:
        fr_=job['friction'][tg['lubrication']]; mt=q3(tg.get('thread_friction',fr_['thread']));ms=q3(tg.get('seat_friction',fr_['seat']))
    else: mt=q3(tg['thread_friction']);ms=q3(tg['seat_friction'])
    T=q3(tg['torque'])
    if not T[3]:
        te=.06 if T[0]<=10 else .04; T=(T[0],T[0]*(1-te),T[0]*(1+te),True)
    an=math.atan(ta*math.cos(lam)); rho=lambda mu:math.atan(mu/math.cos(an)); r2=d2/2
    thr=lambda mu:r2*math.tan(lam+rho(mu))
    def pre(Tq,a,b): return Tq/(thr(a)+b*rs)
    Fn=pre(T[0],mt[0],ms[0]);Fhi=pre(T[2],mt[1],ms[1]);Fl0=pre(T[1],mt[2],ms[2])
    relax=q(tg['relaxation']) if 'relaxation' in tg else (.05 if s>=1-1e-12 else .15)
    lossr=Fl0*relax
    V.update({'preload.nominal':Fn,'preload.high':Fhi,'preload.loss.relaxation':lossr})
    Tp=Fn*P/(2*pi);Tt=Fn*thr(mt[0])
    V.update({'torque.pitch':Tp,'torque.thread_friction':Tt-Tp,'torque.seat':Fn*ms[0]*rs,'torque.loosening':Fn*(r2*math.tan(rho(mt[0])-lam)+ms[0]*rs)})
    ts=1.0
    if 'wrench_length' in tg: wl=q(tg['wrench_length']);ts=wl/(wl+q(tg.get('extension','0 mm')))
    V['torque.set_on_tool']=T[0]*ts
    # neck, flange
    An=annA(di,dneck);sg=Fhi/An;tn=Fhi*thr(mt[1])*(dneck/2)/annJ(di,dneck)
    V.update({'neck.stress.axial':sg/1e6,'neck.stress.shear':tn/1e6,'neck.stress.equivalent':math.sqrt(sg**2+3*tn**2)/1e6})
    rn=dneck/2; sb=6*Fhi/(2*pi*rn)*abs(rs-rn)/tf**2; V['flange.stress']=sb/1e6
    # loads
    nd=job.get('job',{}).get('side')=='non-drive'; ld=job.get('loads',{})
    use=job.get('job',{}).get('use','crank-housing' if 'pedalling' in job else 'boss'); info['use']=use
    Vp=Mp=Np=0.0
    alts=[None]
    if 'pedalling' in job:
        pl,Fc=pedal(job,nd); info['pedals']=pl; pk=opt.get('pedal',0); Vp,Mp,Np=pl[pk]['V'],pl[pk]['M'],pl[pk]['N']
        V.update({'pedal.radial':Vp,'pedal.moment':Mp,'pedal.axial':Np,'pedal.chain':Fc})
    hl='pedalling' in job or any(kk in ld for kk in('radial','moment','axial'))
    VL=Vp+(q(ld['radial']) if 'radial' in ld else 0);ML=Mp+(q(ld['moment']) if 'moment' in ld else 0);NL=Np+(q(ld['axial']) if 'axial' in ld else 0);TL=q(ld['torque']) if 'torque' in ld else 0
    V.update({'load.radial':VL,'load.moment':ML,'load.axial':NL})
    aM=abs(ML)
    V['lever_out.pull']=aM*ro/(ro**2+r2**2/2);V['lever_out.line_load']=aM*(ro+r2)/(2*pi*r2*(ro**2+r2**2/2))/1e3
    A=2*pi*rb*L*(1-voids)
    V.update({'bond.radius':rb*1e3,'bond.gap.side':eta*1e3,'bond.gap.diameter':2*eta*1e3,'bond.area':A*1e6,'bond.volume':2*pi*rb*eta*L*1e9})
    o=dict(ins=ins,fr=fr,fit=fit,Do=Do,Lins=Lins,L=L,Dfr=Dfr,eta=eta,rb=rb,Ga=Ga,voids=voids,di=di,dneck=dneck,held={'all-round':'full-length'}.get(job['frame'].get('held_at','inboard'),job['frame'].get('held_at','inboard')),kn=Ec/eta,ks=Ga/eta)
    # sec 9
    Tc=q(bd.get('cure_temperature','20 °C'));Tcold=q(bd.get('coldest','-10 °C'));Thot=q(bd.get('hottest','45 °C'))
    aa=q(ad['expansion']) if 'expansion' in ad else 0; rf=Dfr/2;rin=d/2
    Ci=rb/ins.E*((rb*rb+rin*rin)/(rb*rb-rin*rin)-ins.nu);Co=rb/fr.E*((rf*rf+rb*rb)/(rf*rf-rb*rb)+fr.nu)
    sth=lambda Tm:(Tc-Tm)*((ins.a-fr.a)*rb+eta*aa*(1+nua)/(1-nua))/(Ci+Co+eta/Ec)
    EA1=ins.E*annA(d,Do);EA2=fr.E*annA(Do+2*eta,Dfr);b=math.sqrt(2*pi*rb*Ga/eta*(1-voids)*(1/EA1+1/EA2))
    tth=lambda Tm,x:Ga/eta*(ins.a-fr.a)*(Tc-Tm)*np.sinh(b*(x-L/2))/(b*np.cosh(b*L/2))
    V.update({'bond.thermal.radial.cold':sth(Tcold)/1e6,'bond.thermal.radial.hot':sth(Thot)/1e6,'bond.thermal.shear.cold':abs(tth(Tcold,L))/1e6})
    fs=float(job['preparation'][bd['preparation']]['factor'])
    ge=taup/Ga; duct=math.sqrt(1+2*gp/ge)
    GJ1=ins.G*annJ(d,Do);GJ2=fr.G*annJ(Do+2*eta,Dfr); en=2*2*pi*rb*(1-voids)*eta*taup*fs*(ge/2+gp)
    V['bond.ductile.axial']=min(A*taup*fs,math.sqrt(en/(1/EA1+1/EA2)));V['bond.ductile.torque']=min(rb*A*taup*fs,math.sqrt(en/(1/GJ1+1/GJ2)))
    V['galvanic.index_difference']=abs(ins.idx-fr.idx) if ins.idx is not None and fr.idx is not None else None
    if V['galvanic.index_difference'] is None: del V['galvanic.index_difference']
    # maker
    if 'maker_torque' in tg:
        mk=tg['maker_torque']; mk=mk if isinstance(mk,list) else [mk]
        lo=max(q3(m)[1] for m in mk);hi=min(q3(m)[2] for m in mk)
        c=[(T[0],hi,hi/T[0]),(lo,T[0],T[0]/lo)]; C['torque.maker']=min(c,key=lambda t:t[2])
    if 'galvanic.index_difference' in V:
        lim=LIM[bd.get('environment','outdoor')]; df=V['galvanic.index_difference']
        C['galvanic']=(df,lim,lim/df if df>0 else float('inf'))
        if bd.get('isolated'): C['galvanic']=(df,lim,None)
    hotT=q(ad['hot_temperature']);ftmp=lambda Tm:1.0 if Tm<=20 else 1+(float(ad['hot_factor'])-1)*(Tm-20)/(hotT-20)
    age=float(ad['ageing_factor'])
    info['hot_nj']=Thot>hotT
    # removal torque
    sl=r2*math.tan(rho(mt[2])-lam) if rho(mt[2])>lam else 0.0
    Rth,Rse=Fhi*sl,Fhi*ms[2]*rs
    if 'removal_torque' in tg:
        tot=q(tg['removal_torque']);f=tot/(Rth+Rse);Rth*=f;Rse*=f
    V['bond.removal.torque']=Rth+Rse
    if Le<=0:
        C['strip.external']=(None,0,0);C['strip.internal']=(None,0,0);C['hoop']=(None,0,0);C['engagement']=(None,0,0)
        return V,C,info
    # sec 12 and ladder
    m=di/d2
    cext=tooth(1,fit.E,fit.nu,al,P,(d2-d3)/2,((1+m*m)/(1-m*m)-fit.nu)*.5*ta**2*d2/P)
    cint=tooth(0,ins.E,ins.nu,al,P,(d-d2)/2,((Do**2+d2**2)/(Do**2-d2**2)+ins.nu)*.5*ta**2*d2/P)
    o['cflank']=cext+cint
    lad=ladder(g,o,hmax); u0=lad['U0']
    ul=lambda F,Pi_,Pf_:(F,Pi_,Pf_)
    co=np.array([1,s,1-s]); disp=u0@co   # fitting, insert, frame displacement (+x inward)
    kt=1/(-(disp[0]-(s*disp[1]+(1-s)*disp[2])))
    fl=-(lad['fl']@co)  # thread load density per N
    tot=simpson_nodes(lad['xt'],fl); 
    # first turn
    xt=lad['xt']; xx=np.linspace(n,min(n+P,n+Le),2001); first=simpson_nodes(xx,np.interp(xx,xt,fl))
    V['thread.first_turn_share']=first/tot; info['flsum']=tot; V['thread.stiffness']=kt/1e3; V['seat.stiffness']=ksum/1e3
    # embedding
    fz=0.0 if tg.get('retightened') else (q(tg['embedding']) if 'embedding' in tg else 3e-6)
    losse=fz/(1/kt+1/ksum); V['preload.loss.embedding']=losse
    Flow=max(0.0,Fl0-max(lossr,losse)); V['preload.low']=Flow; Flc=max(Flow,.01)
    # contact
    gapfun=None
    if st.get('gap'):
        pts=[]
        for r in st['gap']:
            at=r['at']
            if 'deg' in at: a=q(at)
            else: hh,mm=at.split(':'); a=(float(hh)%12+float(mm)/60)*pi/6
            pts.append((a%(2*pi),q(r['gap'])))
        pts.sort(); pa=np.array([p[0] for p in pts]);pg=np.array([p[1] for p in pts])
        gapfun=lambda ph:np.interp(ph,np.concatenate([pa-2*pi,pa,pa+2*pi]),np.tile(pg,3))
    info['gaps']=gapfun is not None
    S=Seat([(p[1],p[2],kc[p[0]]) for p in parts],gapfun,kt,r2)
    names=[p[0] for p in parts]
    def states(F0):
        up=S.preload(F0);rp=S.res(up);out=[];stt=up
        for th in S.dirs():
            u=S.loaded(F0,up,NL,aM,th,stt);stt=u;r=S.res(u);Ft=F0+kt*(up[0]-u[0]);tl=math.hypot(u[1],u[2])
            r.update(Ft=Ft,pry=(Ft+kt*r2*tl)/F0,qmin=(Ft-kt*r2*tl),th=th); out.append(r)
        wst=max(out,key=lambda r:r['pry'])
        return rp,out,wst
    rpH,oH,wH=states(Fhi);rpL,oL,wL=states(Flc)
    Mo,closed=S.opening(Flc,NL); info['closed']=closed
    if Flow<=0: Mo=Mo
    pry=wH['pry']
    peakp={nm:max(r['peak'][i] for r in oH) for i,nm in enumerate(names)}
    V.update({'seat.contact.preload':rpL['frac'],'seat.contact.load':wL['frac'],'seat.pressure.mean':sum(wH['P'])/S.A/1e6,'seat.pressure.peak':max(peakp.values())/1e6,'seat.moment.open':Mo,'seat.pull.extra':wH['Ft']-Fhi,'seat.prying_factor':pry})
    info['qminL']=wL['qmin']
    fac=lambda st_:{'i':ins.face,'f':fr.face}[st_] if 'face_strength' not in st else q(st['face_strength'])
    D=pry*Fhi
    C['strip.external']=(D,Fe,Fe/D);C['strip.internal']=(D,Fi,Fi/D)
    if Fh is not None: C['hoop']=(D,Fh,Fh/D)
    en_=max([Le*need['strip']*D/Fe,Le*need['strip']*D/Fi]+([Le*need['hoop']*D/Fh] if Fh is not None else [])); V['thread.engagement_needed']=en_*1e3; C['engagement']=(en_*1e3,Le*1e3,Le/en_)
    dn=math.sqrt((sg*pry)**2+3*tn**2)
    if fit.sy: C['neck']=(dn/1e6,fit.sy/1e6,fit.sy/dn);C['flange']=(sb*pry/1e6,fit.sy/1e6,fit.sy/(sb*pry) if sb else float('inf'))
    if all(fac(nm) is not None for nm in names): C['seat.crush']=min(((peakp[nm]/1e6,fac(nm)/1e6,fac(nm)/peakp[nm]) for nm in names),key=lambda t:t[2])
    C['seat.open']=(aM,Mo,Mo/aM) if aM>0 else (0,Mo,None)
    sf=ms[1]*sum(wL['P'])+wL['Ft']*ta/2; C['seat.slip']=(VL,sf,sf/VL) if VL>0 else (0,sf,None)
    # glue
    tor=torsion(g,o,lad,fl/tot); wv,ps=rocking(g,o,lad['xb']); xb=lad['xb']
    def split(r,rp=None):
        Pi_=sum(p for p,nm in zip(r['P'],names) if nm=='i');Pf_=sum(p for p,nm in zip(r['P'],names) if nm=='f')
        if rp is None: return Pi_,Pf_
        mf=0.0
        for i,nm in enumerate(names):
            if nm=='f':
                dm=r['M'][i]-rp['M'][i]; mf+=dm@np.array([math.cos(r['th']),math.sin(r['th'])])
        return Pi_,Pf_,mf
    def axial(F,Pi_,Pf_): return lad['tau']@np.array([F,Pi_,Pf_])
    phi=np.linspace(0,pi/2,181)[None,:]
    kn,ks=o['kn'],o['ks']
    def strengths(f,fnos):
        sa=f*siga; te=f*taup*duct; tp=f*taup
        if fr.ilt is not None and fr.ils is not None:
            sa=min(sa,fnos*fr.ilt);te=min(te,fnos*fr.ils);tp=min(tp,fnos*fr.ils)
        return sa,te,tp
    def U(sn,tx,tp_,sa,t): return np.sqrt((np.maximum(sn,0)/sa)**2+(tx**2+tp_**2)/t**2)
    def field(ax,th,sig,tr,Vb,Mb,Tx,sc=1.0):
        w_=wv@np.array([Vb,Mb])*sc;p_=ps@np.array([Vb,Mb])*sc
        tx=np.abs(ax)[:,None]+np.abs(th)[:,None]+np.abs(ks*rb*p_)[:,None]*np.cos(phi)
        tf_=np.abs(tr)[:,None]+np.abs(ks*w_)[:,None]*np.sin(phi)
        sn=sig+np.abs(kn*w_)[:,None]*np.cos(phi)
        return sn,tx,tf_
    def Um(N,Tb,tp): return math.hypot(N,Tb/rb)/(A*tp)
    Z=np.zeros_like(xb)
    # tightening
    Tth,Tse=Fhi*thr(mt[1]),Fhi*ms[1]*rs
    sa,te,tp=strengths(fs,1.0); trT=tor@np.array([Tth,s*Tse,(1-s)*Tse]); NbT=Fhi-s*Fhi;TbT=Tth+s*Tse
    rpi=split(rpH)
    axH=axial(Fhi,rpi[0],rpi[1])
    un=lambda dem:(dem,1.0,1/dem if dem>0 else float('inf'))
    C['bond.tightening']=un(max(U(*field(axH,tth(20,xb),sth(20),trT,0,0,0),sa,te).max(),Um(NbT,TbT,tp)))
    V.update({'bond.torsion.torque':TbT,'bond.torsion.mean':TbT/rb/A/1e6,'bond.torsion.peak':np.abs(trT).max()/1e6})
    # removal
    sa,te,tp=strengths(fs*age,age)
    rth=opt.get('removal_thermal',True)
    def rem(x): 
        trR=tor@np.array([Rth,s*Rse,(1-s)*Rse])*x
        return max(U(*field(Z,tth(20,xb) if rth else Z,sth(20) if rth else 0,trR,0,0,0),sa,te).max(),Um(0,(Rth+s*Rse)*x,tp))
    C['bond.removal']=un(rem(1.0))
    lo,hi=0,1e4
    if rem(1e-9)>1/need['removal']: V['bond.removal.limit']=0.0
    else:
        for _ in range(60):
            mid=(lo+hi)/2
            if rem(mid)<1/need['removal']: lo=mid
            else: hi=mid
        V['bond.removal.limit']=lo*(Rth+Rse)
    # service
    TLu=np.array({'thread':[TL,0,0],'seat':[0,s*TL,(1-s)*TL],'insert0':[0,TL,0]}[opt.get('loadtorque','thread')]); trL=tor@TLu; TbL=TLu[0]+TLu[1]
    sgn=-1 if ML<0 else 1
    el=[]
    info['svc']={}
    for nm,Tm in (('cold',Tcold),('hot',Thot)):
        if nm=='hot' and info['hot_nj']: continue
        f0=age*(1.0 if nm=='cold' else ftmp(Tm)); sa,te,tp=strengths(fs*f0,f0); dm=[]
        for F0,r,rp in ((Fhi,wH,rpH),(Flc,wL,rpL)):
            Pi_,Pf_,mf=split(r,rp); ax=axial(r['Ft'],Pi_,Pf_); Mb=sgn*(aM-mf); fld=field(ax,tth(Tm,xb),sth(Tm),trL,VL,Mb,0)
            um=Um(r['Ft']-Pi_,TbL,tp); dm.append(max(U(*fld,sa,te).max(),um)); el.append(max(U(*fld,sa,tp).max(),um))
            if F0 is Fhi and nm=='cold':
                w_=wv@np.array([VL,Mb]);p_=ps@np.array([VL,Mb])
                V.update({'bond.axial.force':r['Ft']-Pi_,'bond.axial.mean':(r['Ft']-Pi_)/A/1e6,'bond.axial.peak':np.abs(ax).max()/1e6,'bond.rocking.moment':Mb,'bond.rocking.peel':np.abs(kn*w_).max()/1e6,'bond.rocking.shear':max(np.abs(ks*w_).max(),np.abs(ks*rb*p_).max())/1e6})
                ax_hi,Mb_hi=ax,Mb
        C['bond.service.'+nm]=un(max(dm)); info['svc'][nm]=dm
    V['bond.service.elastic']=1/max(el)
    # endurance
    es=float(ad['endurance_share']); dem=[]
    dax=ax_hi-axH
    for nm,Tm in (('cold',Tcold),('hot',Thot)):
        if nm=='hot' and info['hot_nj']: continue
        f0=age*(1.0 if nm=='cold' else ftmp(Tm)); sa,te,tp=strengths(fs*f0,f0)
        if opt.get('end_abs',False): stax=np.abs(axH)+np.abs(dax)/2
        else: stax=axH+dax/2
        u1=U(*field(stax,tth(Tm,xb),sth(Tm),Z,VL,Mb_hi,0,.5),sa,te); u2=U(*field(dax/2,Z,0,Z,VL,Mb_hi,0,.5),es*sa,es*tp)
        dem.append((u1+u2).max())
    info['end']=dem
    C['bond.endurance']=un(max(dem))
    # sustained
    if s<1-1e-12 and not info['hot_nj']:
        f0=age*ftmp(Thot); sa,te,tp=strengths(fs*f0,f0); cs=float(ad['creep_share'])
        C['bond.sustained']=un(max(np.abs(axH).max()/(cs*tp),Um(NbT,0,tp)))
    kg=lambda m,a,b_:2*(1+m.nu)/(4+3*m.nu)*m.G*annA(a,b_)
    r_=kg(fr,Do+2*eta,Dfr)/kg(ins,d,Do); info['soft_r']=r_
    f=1.0
    if r_<1.5 and o['held']!='full-length':
        f=float(np.interp(r_,[.27,.54,1.5],[3.4,2.2,1.0]));info['soft_nj']=r_<.27
    V['bond.soft_wall_factor']=f; info['soft']=f
    return V,C,info

def load(p):
    with open(p,'rb') as f: return tomllib.load(f)


def _rounded(x):
    return None if x is None or not math.isfinite(x) else float('%.10g' % x)


if __name__ == '__main__':
    import glob
    import json
    for path in sorted(glob.glob('*.toml')):
        job = load(path)
        values, checks, info = evaluate(job)
        if 'pedalling' in job:
            # The other pedal counts wherever it is worse.
            other_values, other_checks, _ = evaluate(job, opt={'pedal': 1})
            for k, c in other_checks.items():
                if c[2] is not None and checks[k][2] is not None and c[2] < checks[k][2]:
                    checks[k] = c
            for k, worse in (('thread.engagement_needed', max), ('bond.service.elastic', min)):
                if k in values:
                    values[k] = worse(values[k], other_values[k])
        expected = {'gaps': bool(info.get('gaps')), 'values': {k: _rounded(v) for k, v in values.items()},
                    'checks': {k: [_rounded(x) for x in c] for k, c in checks.items()}}
        json.dump(expected, open(path[:-5] + '.json', 'w'), indent=1, sort_keys=True)
